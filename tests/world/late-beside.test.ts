import { expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import { lockBody } from "../../src/belt-test/scorebook/judge-view.ts";
import { lateQuestion } from "../../src/belt-test/scorebook/marks.ts";
import type { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { heldOf } from "../../src/belt-test/scorebook/what-was-held.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { aBox } from "../builders/a-box.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

const blocks = "blocks" as SectionId;

// Seeds 2433 and 4094 of the random days of a room: the second judge's mark, of a place that the first took and had locked, counted again beside the first's.
it("[S264] a late mark that is let count brings no other judge's mark back", async () => {
  const day = aTestDay({ judges: 3, candidates: 1 });
  const [mia] = day.candidates as [CandidateId];
  const [first, second, third] = day.judges as [
    (typeof day.judges)[number],
    (typeof day.judges)[number],
    (typeof day.judges)[number],
  ];
  const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub", { box: aBox() });
  const { record, ref } = makeSideRecord(
    {
      grading: aGradingId,
      about: mia,
      kind: "text",
      body: { text: "It was carried in." },
    },
    { random: (bytes) => new Uint8Array(bytes) },
  );
  const says = async (pen: Pen, person: string, ...entries: AnyEntry[]) => {
    const roles = [person === "chief" ? ("chief" as const) : ("judge" as const)];
    const who = { person: person as PersonId, roles, device: pen.device };
    const { refused } = await room.handIn(who, entries, [record]);
    expect(refused).toEqual([]);
    for (const one of [day.chief, ...day.judges.map((judge) => judge.pen)]) one.hear(room.lamport);
  };
  const locks = async ({ pen, person }: typeof first, level: number) => {
    for (const { item, side, criterion } of assignedPlaces(room.book, person, mia, blocks))
      await says(pen, person, aMark(pen, { item, side, criterion, level }) as AnyEntry);
    const lock = pen.write("locked", lockBody(room.book, person, blocks, mia));
    await says(pen, person, lock as AnyEntry);
  };
  const other = aPen(first.person, "judge-1-second-tablet");

  await says(day.chief, "chief", ...day.plan);
  await says(second.pen, second.person, aMark(second.pen, { level: 4 }) as AnyEntry);
  await locks(first, 3);
  const gives = { judge: second.person, by: first.person };
  await says(day.chief, "chief", day.chief.write("judge-replaced", gives) as AnyEntry);
  await locks(third, 3);
  expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
  // On the first judge's other tablet, which has not heard of the lock.
  other.hear(room.lamport);
  await says(other, first.person, aMark(other, { level: 1 }) as AnyEntry);
  const counts = () =>
    room.book.marks
      .of(mia, "verdict")
      .filter(
        ({ item, side, criterion }) =>
          item === "rising-block" && side === "left" && criterion === "chamber",
      )
      .map(({ judge, level }) => `${judge} ${level}`)
      .sort();
  expect(counts()).toEqual(["judge-1 3", "judge-3 3"]);
  const settled = day.chief.write("review-settled", {
    ...{ question: lateQuestion(first.person, blocks), candidate: mia, decision: "late-counts" },
    ...{ reason: ref, basis: heldOf(room.book, mia) },
  });
  await says(day.chief, "chief", settled as AnyEntry);
  expect(counts()).toEqual(["judge-1 1", "judge-3 3"]);
});
