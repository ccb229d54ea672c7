import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { Rules } from "../../src/belt-test/scorebook/rules.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { makeSideRecord, sideDigest } from "../../src/line/make-side-record.ts";
import { aGradingId, anEntryId, revouched } from "../builders/a-pen.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

/** A hall of which the hub has the plan, a judge, and another judge who hears what is on its way and is faster. */
async function aHall(rules?: Rules) {
  const day = aTestDay({ judges: 2, candidates: 1, ...(rules ? { rules } : {}) });
  const [judge, liar] = day.judges as [(typeof day.judges)[0], (typeof day.judges)[0]];
  const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
  const as = (person: string, role: "judge" | "chief", device: string) => ({
    person: person as PersonId,
    roles: [role],
    device: device as DeviceId,
  });
  const handIn = async (
    who: ReturnType<typeof as>,
    entry: AnyEntry,
    sides: readonly SideRecord[] = [],
  ) => (await room.handIn(who, [entry], sides)).refused[0]?.fault.code ?? "taken";
  const chief = as("chief", "chief", day.chief.device);
  for (const entry of day.plan) await handIn(chief, entry);
  const mine = as(judge.person, "judge", judge.pen.device);
  const theirs = as(liar.person, "judge", liar.pen.device);
  return { day, judge, liar, room, handIn, chief, mine, theirs };
}

describe("an id that somebody heard of before its line was kept", () => {
  it("[H132] is taken by nobody else, with whatever line: the true one is kept, whenever it comes", async () => {
    const { judge, liar, handIn, mine, theirs } = await aHall();
    const stop = judge.pen.write("stopped", { wave: 1 });
    const lies = [
      { ...liar.pen.write("stopped", { wave: null }), kind: "mark-of-next-year" },
      liar.pen.write("stopped", { wave: null }),
      aMark(liar.pen),
      { ...stop, by: liar.person, device: liar.pen.device },
    ];
    for (const lie of lies)
      expect(await handIn(theirs, { ...lie, id: stop.id } as AnyEntry)).toBe("ID_UNVOUCHED");
    expect(await handIn(mine, stop)).toBe("taken");
  });

  it("[H133] of a child's name is taken by no incident, nor are the name's own words under another person", async () => {
    const { day, liar, room, handIn, chief, theirs } = await aHall();
    const about = "candidate-9" as CandidateId;
    const of = { grading: aGradingId, about, kind: "candidate" } as const;
    const { record, ref } = makeSideRecord(
      { ...of, body: { given: "Ada" } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const other = { ...record, about: liar.person, kind: "text", body: { text: "Mine." } } as const;
    for (const lie of [other, { ...record, about: liar.person, kind: "text" } as const]) {
      const text = { id: ref.id, digest: sideDigest(lie) };
      expect(await handIn(theirs, liar.pen.write("incident", { text }), [lie])).toBe("taken");
    }
    const rubric = day.rubric.id;
    const entered = day.chief.write("entered", { candidate: about, number: 9, rubric, given: ref });
    expect(await handIn(chief, entered, [record])).toBe("taken");
    expect(room.side(ref.id)).toEqual(record);
  });

  it("[H133] keeps a stop and the words of an incident out of an app of before, under ids that are nobody else's", async () => {
    const { judge, room, handIn, mine } = await aHall();
    const of = { grading: aGradingId, about: judge.person, kind: "text" } as const;
    const made = makeSideRecord(
      { ...of, body: { text: "Hurt." } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const record = { ...made.record, id: anId(anEntryId()) };
    const incident = judge.pen.write("incident", { text: { ...made.ref, id: record.id } });
    for (const entry of [judge.pen.write("stopped", { wave: 1 }), incident])
      expect(await handIn(mine, { ...entry, id: anId(anEntryId()) }, [record])).toBe("taken");
    expect(room.side(record.id)).toEqual(record);
  });

  it("[H134] in a book of before may be taken; whoever lost it so writes on behind it", async () => {
    const { judge, liar, handIn, mine, theirs } = await aHall(2);
    const mark = aMark(judge.pen);
    const lie = { ...liar.pen.write("stopped", { wave: null }), id: mark.id } as AnyEntry;
    expect(await handIn(theirs, lie)).toBe("taken");
    expect(await handIn(mine, mark)).toBe("ID_REUSED");
    expect(await handIn(mine, aMark(judge.pen, { criterion: "target" }))).toBe("taken");
  });

  it("[H178] is told to nobody who offers guesses at it, nor what it says", async () => {
    const { day, judge, liar, room, handIn, chief, mine, theirs } = await aHall();
    const mark = aMark(judge.pen, { level: 3 }) as AnyEntry;
    const unborn = aMark(judge.pen, { level: 3 }) as AnyEntry;
    expect(await handIn(mine, mark)).toBe("taken");
    const asWritten = [mark, { ...mark, body: { ...mark.body, item: "low-block" } }, unborn];
    for (const one of asWritten as AnyEntry[]) {
      expect(await handIn(theirs, one)).toBe("NOT_YOURS");
      expect(await handIn(chief, one)).toBe("NOT_YOURS");
      // Who was let in as somebody else's further device, too.
      const spy = { ...theirs, alsoIn: new Set([theirs.device]) };
      expect(await handIn(spy, one)).toBe("NOT_YOURS");
    }
    // Nor by a correction of it, whose reason's words are held back so that nothing is kept.
    const { ref } = makeSideRecord(
      { grading: aGradingId, about: anId("chief"), kind: "text", body: { text: "never sent" } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    for (const of of [mark.id, unborn.id])
      expect(await handIn(chief, day.chief.write("correction", { of, reason: ref }))).toBe(
        "NOTHING_TO_CORRECT",
      );
    const under = async (who: typeof chief, entry: AnyEntry) => {
      const said: string[] = [];
      for (const { id } of [mark, unborn]) said.push(await handIn(who, { ...entry, id }));
      return said;
    };
    for (const [who, pen] of [
      [theirs, liar.pen],
      [chief, day.chief],
    ] as const)
      for (const kind of ["stopped", "started", "closed", "mark-of-next-year"])
        for (const n of [1, 40]) {
          const { n: _, ...guess } = pen.write("stopped", { wave: null });
          const [there, not] = await under(who, { ...guess, kind, n, body: {} } as AnyEntry);
          expect(there).toBe(not);
        }
    expect(room.book.entry(mark.id)).toEqual(mark);
  });

  it("[H132] a book opened today takes no line under an id of before", async () => {
    const { judge, handIn, mine } = await aHall();
    const mark = aMark(judge.pen);
    expect(await handIn(mine, { ...mark, id: anEntryId() } as AnyEntry)).toBe("ID_UNVOUCHED");
    // The place is heard, so that nothing of the device waits behind it.
    expect(await handIn(mine, revouched(aMark(judge.pen)))).toBe("taken");
  });
});
