import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { heldFirst } from "../../src/belt-test/scorebook/held-first.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { deviceOf } from "../../src/book/counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { noLostPlans } from "../../src/hub/test-room/lost-plan.ts";
import { takePersonsFile } from "../../src/hub/test-room/persons-file.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { owedAgain } from "../../src/line/owed-again.ts";
import { withReceipt } from "../../src/line/receipt.ts";
import { aBox } from "../builders/a-box.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId, revouched } from "../builders/a-pen.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;
const person = "judge-1" as PersonId;
const text = {
  grading: aGradingId,
  about: anId("chief"),
  kind: "text",
  body: { text: "Lost." },
} as const;
const { record, ref } = makeSideRecord(text, {
  random: (bytes) => new Uint8Array(bytes),
});
const chief = {
  person: "chief" as PersonId,
  roles: ["chief"] as const,
  device: "chief-tablet" as DeviceId,
};
const judge = { person, roles: ["judge"] as const, device: "judge-1-tablet" as DeviceId };

/** A judge marks twice and never locks; the chief opens; the judge marks once more, having seen the others'. */
async function openedWithout() {
  const day = aTestDay({ judges: 1, candidates: 1 });
  const [hand] = day.judges;
  if (!hand) throw new Error("a judge");
  const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
  await room.handIn(chief, day.plan);
  const marks = [aMark(hand.pen, { level: 2 }), aMark(hand.pen, { level: 3 })] as AnyEntry[];
  await room.handIn(judge, marks);
  const opened = day.chief.write("revealed", { section: blocks, candidates: [mia], reason: ref });
  await room.handIn(chief, [opened], [record]);
  const late = aMark(hand.pen, { level: 4 }) as AnyEntry;
  await room.handIn(judge, [late]);
  const all = [...room.book.entries()];
  const held = all.filter(({ kind }) => kind === "held");
  return { day, marks, late, opened: opened as AnyEntry, held, all };
}
const levelIn = ({ book }: GradingRoom) => book.marks.of(mia, "lock").map(({ level }) => level);

/** A hub put back from a copy of the plan alone. */
async function anOlderHub(plan: readonly AnyEntry[]) {
  const store = openMemoryScorebook();
  await store.append(aGradingId, plan);
  return { store, room: await GradingRoom.open(aGradingId, store, "hub") };
}

describe("what a lost hub had held", () => {
  it("[H89] comes back with its opening from a chief's device, and the hub says nothing of its own there", async () => {
    const { day, marks, late, opened, held, all } = await openedWithout();
    expect(held).toHaveLength(1);
    const owed = owedAgain(all, chief.device, new Map([[chief.device, [[1, day.plan.length]]]]));
    expect(owed).toEqual([...held, opened]);
    const { room } = await anOlderHub(day.plan);
    // The judge first, with what was late; then the chief.
    await room.handIn(judge, [...marks, late]);
    expect((await room.handIn(chief, owed, [record])).refused).toEqual([]);
    expect([...room.book.entries()].filter(({ kind }) => kind === "held")).toEqual(held);
    expect(levelIn(room)).toEqual([3]);
  });

  it("[H89] is taken of nobody else, of no other device's name, and not once the opening is there", async () => {
    const { day, opened, held } = await openedWithout();
    const code = async (room: GradingRoom, who: typeof chief | typeof judge, entry: AnyEntry) =>
      (await room.handIn(who, [entry], [record])).refused[0]?.fault.code;
    const [one] = held as [AnyEntry];
    const { room } = await anOlderHub(day.plan);
    expect(await code(room, judge, one)).toBe("NOT_YOURS");
    expect(await code(room, judge, { ...one, by: person, device: judge.device })).toBe(
      "ROLE_MISSING",
    );
    expect(await code(room, chief, { ...one, device: judge.device })).toBe("NOT_YOURS");
    expect(await code(room, chief, opened)).toBeUndefined();
    expect(await code(room, chief, one)).toBe("HELD_ALREADY");
  });

  it("[H89] comes back out of the chief's file too, in whatever order its lines lie", async () => {
    const { day, marks, late, opened, held } = await openedWithout();
    const { store } = await anOlderHub(day.plan);
    const file = (whose: PersonId, entries: AnyEntry[]) => ({
      ...{ grading: aGradingId, person: whose, entries, sides: [record], heads: [], chain: [] },
    });
    await takePersonsFile(store, file(person, [...marks, late]), []);
    const taken = await takePersonsFile(store, file(chief.person, [opened, ...held]), []);
    expect(taken?.refused).toEqual([]);
    const room = await GradingRoom.open(aGradingId, store, "hub");
    expect([...room.book.entries()].filter(({ kind }) => kind === "held")).toEqual(held);
    expect(levelIn(room)).toEqual([3]);
  });

  it("[H175] with the closing comes what had been marked before it and bears a later logical time: a chief hears no closed marks", async () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const box = aBox();
    const before = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub", { box });
    await before.handIn(chief, day.plan);
    const [hand] = day.judges;
    if (!hand) throw new Error("a judge");
    hand.pen.hear(day.plan.length + 30);
    const marked = aLock(hand, blocks, [mia], day.plan) as AnyEntry[];
    expect((await before.handIn(judge, marked)).refused).toEqual([]);
    const closed = day.chief.write("closed", { basis: {} });
    expect((await before.handIn(chief, [closed])).refused).toEqual([]);
    expect(closed.lamport).toBeLessThan(marked.at(-1)?.lamport ?? 0);
    const stood = before.book.marks.of(mia, "verdict").map(({ level }) => level);

    const store = openMemoryScorebook();
    await store.append(aGradingId, day.plan);
    const room = await GradingRoom.open(aGradingId, store, "hub", { box });
    const known = before
      .feed(chief)
      .after(0)
      .map(({ entry }) => entry);
    const owed = heldFirst(owedAgain(known, chief.device, room.holds(chief.device)));
    const receipts = new Map(
      known.map(({ id }) => [id, before.receiptsFor([id])?.[0] ?? ""] as const),
    );
    const ofMarked = before.receiptsFor(marked.map(({ id }) => id)) ?? [];
    const its = marked.map((line, at) => ({ ...line, receipt: ofMarked[at] }));
    expect(
      (
        await room.handIn(
          chief,
          owed.map((line) => withReceipt(line, receipts)),
        )
      ).refused,
    ).toEqual([]);
    expect((await room.handIn(judge, its)).refused).toEqual([]);
    expect(room.book.marks.of(mia, "verdict").map(({ level }) => level)).toEqual(stood);
    expect(room.book.openings.hasLockThatCounts(person, mia, blocks)).toBe(true);
    // What nobody had before the closing comes too late.
    expect((await room.handIn(judge, [aMark(hand.pen)])).refused[0]?.fault.code).toBe(
      "GRADING_CLOSED",
    );
  });

  it("[H173] a file brings no opening that the lost hub never had, and nobody's before the chief's", async () => {
    const { day, marks, late, opened } = await openedWithout();
    const { store } = await anOlderHub(day.plan);
    const atDoor = [chief, judge].map(({ device, person: whose }) => ({ device, person: whose }));
    let isLost = true;
    const lostPlans = {
      ...noLostPlans,
      isLost: async () => isLost,
      note: async (_: unknown, now: boolean) => void (isLost = now),
    };
    const take = async (whose: PersonId, entries: AnyEntry[]) => {
      const file = { grading: aGradingId, person: whose, entries, sides: [record] };
      const read = { ...file, heads: [], chain: [] };
      const taken = await takePersonsFile(store, read, [], atDoor, aBox(), lostPlans);
      return taken?.refused.map(({ fault }) => fault.code);
    };
    expect((await take(person, [...marks, late]))?.[0]).toBe("LAMPORT_TOO_HIGH");
    expect(await take(chief.person, [opened])).toEqual(["HUB_PUT_BACK"]);
    expect(isLost).toBe(false);
    expect(await take(person, [...marks, late])).toEqual([]);
  });

  it("[H131] a file takes no places of a device that the door knows to be somebody else's", async () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [honest, liar] = day.judges as [(typeof day.judges)[number], (typeof day.judges)[number]];
    const marks = [aMark(honest.pen), aMark(honest.pen, { level: 4 })];
    const taken = marks.map((mark) => ({ ...aMark(liar.pen), device: mark.device, n: mark.n }));
    const { store } = await anOlderHub(day.plan);
    const atDoor = [{ device: deviceOf(String(marks[0]?.device)), person: honest.person }];
    const file = (whose: PersonId, entries: AnyEntry[]) => ({
      ...{ grading: aGradingId, person: whose, entries, sides: [], heads: [], chain: [] },
    });
    const lies = await takePersonsFile(store, file(liar.person, taken), [], atDoor);
    expect(lies?.refused.map(({ fault }) => fault.code)).toEqual(["NOT_YOURS", "NOT_YOURS"]);
    const own = await takePersonsFile(store, file(honest.person, marks), [], atDoor);
    expect(own?.refused).toEqual([]);
    expect(own?.added).toHaveLength(2);
  });

  it("[S142] says nothing without the opening it speaks of, in whatever order they are read", async () => {
    const { day, marks, opened, held } = await openedWithout();
    const without = fold([...day.plan, ...marks, ...held]);
    expect(without.openings.seal(person, mia, blocks)).toBeUndefined();
    for (const lines of [
      [opened, ...held],
      [...held, opened],
    ])
      expect(
        fold([...day.plan, ...lines, ...marks]).openings.seal(person, mia, blocks),
      ).toHaveLength(1);
    expect(heldFirst([opened, ...marks, ...held])).toEqual([...held, opened, ...marks]);
  });

  it("[S141] does not speak of places that a stop left out, which are filled when the others' marks are known", async () => {
    const day = aTestDay({ judges: 1, candidates: 1 });
    const [hand] = day.judges;
    if (!hand) throw new Error("a judge");
    const { room } = await anOlderHub(day.plan);
    await room.handIn(judge, [aMark(hand.pen, { level: 2 })]);
    const far = revouched({
      ...hand.pen.write("stopped", { wave: null }),
      n: 5_000,
      lamport: 5_000,
    });
    expect((await room.handIn(judge, [far])).refused).toEqual([]);
    const opened = day.chief.write("revealed", { section: blocks, candidates: [mia], reason: ref });
    await room.handIn(chief, [opened], [record]);
    const later = { ...aMark(hand.pen, { level: 4 }), n: 2 };
    await room.handIn(judge, [later]);
    expect(levelIn(room)).toEqual([2]);
  });
});
