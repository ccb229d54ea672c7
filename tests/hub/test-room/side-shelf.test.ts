import { beforeEach, describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { GradingRoom } from "../../../src/hub/test-room/grading-room.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import type { ScorebookStore } from "../../../src/ports/scorebook-store.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay, type TestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

const first = "candidate-1" as CandidateId;
const second = "candidate-2" as CandidateId;
const place = { section: anId("blocks"), item: null, side: null };
const judge = {
  person: "judge-1" as PersonId,
  roles: ["judge"] as const,
  device: "judge-1-tablet" as DeviceId,
};
const chief = {
  person: "chief" as PersonId,
  roles: ["chief"] as const,
  device: "chief-tablet" as DeviceId,
};
let salt = 0;
const aText = (about: CandidateId, text: string, kind: SideRecord["kind"] = "text") =>
  makeSideRecord(
    { grading: aGradingId, about, kind, body: { text } },
    { random: (bytes) => new Uint8Array(bytes).fill(++salt) },
  );

describe("the names and texts of an open test", () => {
  let store: ScorebookStore;
  let day: TestDay;
  let room: GradingRoom;
  beforeEach(async () => {
    store = openMemoryScorebook();
    day = aTestDay();
    room = await GradingRoom.open(aGradingId, store, "hub");
    await room.handIn(chief, day.plan);
  });
  const note = (about: CandidateId, ref: ReturnType<typeof aText>["ref"]) => {
    const [one] = day.judges;
    if (!one) throw new Error("a judge");
    return one.pen.write("note", { candidate: about, ...place, text: ref });
  };

  it("[H60] a text filed under somebody else, or as something else, is not taken, nor its entry", async () => {
    for (const { record, ref } of [aText(second, "x"), aText(first, "x", "health")]) {
      const entry = note(first, ref);
      const { kept, refused } = await room.handIn(judge, [entry], [record]);
      expect(kept).toEqual([]);
      expect(refused.map(({ fault }) => fault.code)).toEqual(["SIDE_RECORD_MISFILED"]);
      expect(await store.sides(aGradingId)).toEqual([]);
    }
  });

  it("[H96] words that are longer than anybody writes are not taken, nor what they belong to, be it an incident", async () => {
    const [one] = day.judges;
    const long = aText(first, "x".repeat(400_000));
    const just = aText(first, "\n".repeat(2000));
    const entries = [
      note(first, long.ref),
      one?.pen.write("incident", { candidate: first, text: long.ref }),
      note(first, just.ref),
    ];
    const { kept, refused } = await room.handIn(judge, entries, [long.record, just.record]);
    expect(refused.map(({ fault }) => fault.code)).toEqual(["ENTRY_TOO_LARGE", "ENTRY_TOO_LARGE"]);
    expect(kept).toEqual([entries[2]?.id]);
    expect(await store.sides(aGradingId)).toEqual([just.record]);
  });

  it("[H60] what lies on the disk otherwise than its entry says is shown to nobody", async () => {
    const { record, ref } = aText(first, "As written.");
    await room.handIn(judge, [note(first, ref)], [record]);
    expect(room.side(record.id)).toEqual(record);
    await store.erase(aGradingId, first);
    await store.append(aGradingId, [], [{ ...record, body: { text: "Rewritten." } }]);
    const again = await GradingRoom.open(aGradingId, store, "hub");
    expect(again.side(record.id)).toBeUndefined();
  });

  it("[H60] whoever is erased leaves no text behind under another's name", async () => {
    // From before such a text was refused.
    const { record, ref } = aText(second, "About the first.");
    const other = aText(second, "About the second.");
    await store.append(
      aGradingId,
      [note(first, ref), note(second, other.ref)],
      [record, other.record],
    );
    const again = await GradingRoom.open(aGradingId, store, "hub");
    const erased = day.chief.write("erased", { about: first });
    expect(await again.handIn(chief, [erased])).toMatchObject({ refused: [] });
    expect(await store.sides(aGradingId)).toEqual([other.record]);
    expect(again.side(other.record.id)).toEqual(other.record);
  });
});
