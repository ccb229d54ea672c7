import { expect, it } from "vitest";
import { countOfPlace, markOfPlace } from "../../src/book/counts.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { PenOf } from "../../src/book/pen.ts";
import { isVouchedEntry } from "../../src/book/vouched-id.ts";
import { aGradingId, anEntryId } from "../builders/a-pen.ts";
import { type RegisterBodies, registerPen } from "../builders/a-register.ts";

const office = "office" as DeviceId;
const ada = "ada" as PersonId;
const aRegisterPen = () =>
  new PenOf<RegisterBodies>(registerPen, {
    ...{ grading: aGradingId, person: ada, device: office },
    ...{ makeId: anEntryId, nowMs: () => 7 },
  });

it("writes in any book, by what the book says of its counts and of its clock", () => {
  const pen = aRegisterPen();
  const lines = [
    pen.write("joined", { person: ada }),
    pen.write("judged", { person: ada, month: "May" }),
    pen.write("attended", { person: ada, lessons: 2, hall: "the hall" }),
    pen.write("month-over", { month: "May" }),
  ];
  const ofAda = countOfPlace(office, markOfPlace(ada));
  expect(lines.map(({ device, n, lamport }) => [device, n, lamport])).toEqual([
    [office, 1, 1],
    [office, 2, 1],
    [ofAda, 1, 2],
    [office, 3, 3],
  ]);
  expect(lines.every(isVouchedEntry)).toBe(true);
  expect(lines[3]?.body).toEqual({ month: "May", after: 2 });
});

it("writes a line anew whose place is taken: under another id, and saying its new place", () => {
  const pen = aRegisterPen();
  const over = pen.write("month-over", { month: "May" });
  pen.hear(40);
  const anew = pen.writeAnew(over);
  expect(anew).toMatchObject({ n: 2, lamport: 41, by: ada, at: 7, body: { after: 1 } });
  expect([anew.id === over.id, isVouchedEntry(anew)]).toEqual([false, true]);
  // An id of before vouches for nothing, and stays.
  const before = { ...over, id: anEntryId() };
  expect(pen.writeAnew(before).id).toBe(before.id);
});
