import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../src/belt-test/identity.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import { lockBody } from "../../src/belt-test/scorebook/judge-view.ts";
import type { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { heldOf } from "../../src/belt-test/scorebook/what-was-held.ts";
import { knownAtVerdict } from "../../src/belt-test/verdict/verdict-doubt.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, EntryId, PersonId } from "../../src/book/identity.ts";
import { HeldBox } from "../../src/hub/seals/held-box.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { isKeptAgain } from "../../src/hub/test-room/kept-again.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { withReceipt } from "../../src/line/receipt.ts";
import { aBox } from "../builders/a-box.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aRubric } from "../builders/a-rubric.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

const day = aTestDay({ judges: 1, candidates: 1 });
const [judge] = day.judges as [(typeof day.judges)[0]];
const mine = {
  person: judge.person as PersonId,
  roles: ["judge"] as const,
  device: judge.pen.device as DeviceId,
};
const chief = {
  person: "chief" as PersonId,
  roles: ["chief"] as const,
  device: day.chief.device as DeviceId,
};
const roomWith = async (box: HeldBox) => {
  const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub", { box });
  expect((await room.handIn(chief, day.plan)).refused).toEqual([]);
  return room;
};

describe("what a hub gives for a line that it has kept", () => {
  const closed = day.chief.write("closed", {}) as AnyEntry;
  // It comes before the closing and bears a later time: this judge has heard somebody's stop.
  judge.pen.hear(100);
  const mark = aMark(judge.pen, { candidate: "candidate-1" as CandidateId }) as AnyEntry;

  /** The hub that was lost had the mark, and then the closing, which the one that was put back hears first. */
  async function lostAndPutBack(key = aBox()) {
    const lost = await roomWith(aBox());
    await lost.handIn(mine, [mark]);
    await lost.handIn(chief, [closed]);
    const [receipt = "", ofClosing = ""] = lost.receiptsFor([mark.id, closed.id]) ?? [];
    const room = await roomWith(key);
    await room.handIn(chief, [withReceipt(closed, new Map([[closed.id, ofClosing]]))]);
    const handIn = async (line: object) =>
      (await room.handIn(mine, [line])).refused[0]?.fault.code ?? "kept";
    return { room, handIn, receipt };
  }

  it("[H180] makes a hub that was put back keep it again, as it was, whatever it has heard by then", async () => {
    const { room, handIn, receipt } = await lostAndPutBack();
    expect(await handIn(mark)).toBe("GRADING_CLOSED");
    const again = await lostAndPutBack();
    expect(await again.handIn(withReceipt(mark, new Map([[mark.id, receipt]])))).toBe("kept");
    expect(again.room.book.entry(mark.id)).toEqual(mark);
    expect(room.book.entry(mark.id)).toBeUndefined();
  });

  it("[H180] is good for that line alone, of that hub alone", async () => {
    const { handIn, receipt } = await lostAndPutBack();
    const body = {
      ...mark.body,
      cells: [{ ...(mark.body as { cells: [object] }).cells[0], level: 4 }],
    };
    for (const line of [
      { ...mark, body },
      { ...mark, lamport: mark.lamport + 1 },
    ])
      expect(await handIn({ ...line, receipt })).toBe("GRADING_CLOSED");
    for (const made of ["", "0".repeat(32), 7, null, {}, receipt.slice(1)])
      expect(await handIn({ ...mark, receipt: made })).toBe("GRADING_CLOSED");
    const { handIn: toOther } = await lostAndPutBack(new HeldBox("another hub's"));
    expect(await toOther({ ...mark, receipt })).toBe("GRADING_CLOSED");
    const theirs = await lostAndPutBack();
    expect((await theirs.room.handIn(chief, [{ ...mark, receipt }])).refused[0]?.fault.code).toBe(
      "NOT_YOURS",
    );
  });
});

const aReason = (about: string, text: string) =>
  makeSideRecord(
    { grading: aGradingId, about: about as PersonId, kind: "text", body: { text } },
    { random: (bytes) => new Uint8Array(bytes) },
  );

describe("a line with its receipt", () => {
  const blocks = "blocks" as SectionId;
  const [mia] = aTestDay({ judges: 1, candidates: 1 }).candidates as [CandidateId];

  /** A hub that has lost a day, and one that was put back from a copy of its plan. */
  async function aLostDay() {
    const its = aTestDay({ judges: 1, candidates: 1 });
    const [first] = its.judges as [(typeof its.judges)[0]];
    const spare = its.chief.write("seated", { person: "spare" as PersonId, roles: ["judge"] });
    const plan = [...its.plan, spare] as AnyEntry[];
    const begin = async () => {
      const store = openMemoryScorebook();
      const open = () => GradingRoom.open(aGradingId, store, "hub", { box: aBox() });
      await (await open()).handIn(chief, plan);
      // Begun from a copy: the plan is none of what has come since.
      return open();
    };
    const [lost, room] = [await begin(), await begin()];
    const as = (device: string, person = first.person) => ({
      person,
      roles: ["judge"] as const,
      device: device as DeviceId,
    });
    /** By the lost hub, all of which is taken. @returns the lines with what it gave for them */
    const keptBefore = async (who: Parameters<GradingRoom["handIn"]>[0], lines: AnyEntry[]) => {
      expect((await lost.handIn(who, lines)).refused).toEqual([]);
      const ids = lines.map(({ id }) => id);
      const receipts = lost.receiptsFor(ids) ?? [];
      return lines.map((line, at) => ({ ...line, receipt: receipts[at] }));
    };
    const handIn = async (who: Parameters<GradingRoom["handIn"]>[0], lines: readonly object[]) =>
      (await room.handIn(who, lines)).refused.map(({ fault }) => fault.code);
    return { day: its, plan, first, room, as, keptBefore, handIn };
  }
  const levels = (room: GradingRoom) =>
    room.book.marks.of(mia, "lock").map(({ judge: who, level }) => `${who} ${level}`);
  const all = (judgeOf: { person: PersonId; pen: Pen }, known: AnyEntry[], level: number) =>
    assignedPlaces(fold(known), judgeOf.person, mia, blocks).map(
      ({ item, side, criterion }) =>
        judgeOf.pen.write("mark", {
          ...{ section: blocks, item, side },
          cells: [{ candidate: mia, criterion, level, how: "tapped" }],
        }) as AnyEntry,
    );
  const lockOf = (judgeOf: { person: PersonId; pen: Pen }, known: AnyEntry[]) =>
    judgeOf.pen.write("locked", lockBody(fold(known), judgeOf.person, blocks, mia)) as AnyEntry;

  /** The chief, by what is here. */
  const issuesRetest = async (room: GradingRoom, pen: Pen, candidate: CandidateId, why: string) => {
    const { record, ref } = aReason(candidate, why);
    pen.hear(room.book.lamport);
    const verdict = pen.write("verdict", {
      ...{ candidate, result: "retest", computed: "incomplete", reason: ref },
      retestSections: [blocks],
      basis: heldOf(room.book, candidate),
      ...knownAtVerdict(room.book, candidate),
    });
    expect((await room.handIn(chief, [verdict], [record])).refused).toEqual([]);
  };

  it("[H181] waits for the marks of the judge's other tablet, over which it was written", async () => {
    const { plan, first, as, keptBefore, handIn } = await aLostDay();
    const marks = all(first, plan, 3);
    const other = { person: first.person, pen: aPen(first.person, "other-tablet") };
    const lock = lockOf(other, [...plan, ...marks]);
    const kept = await keptBefore(as(first.pen.device), marks);
    const [again] = await keptBefore(as("other-tablet"), [lock]);
    expect(await handIn(as("other-tablet"), [again as object])).toEqual(["BASIS_WRONG"]);
    expect(await handIn(as(first.pen.device), kept)).toEqual([]);
    expect(await handIn(as("other-tablet"), [again as object])).toEqual([]);
  });

  it("[S288] brings the words a test began with, and its title, back behind the closing; without one neither comes", async () => {
    const library = (title: string) => ({
      ...{ id: "faults", version: 1, title, language: "en", faults: [], practice: [] },
    });
    const { day: its, room, keptBefore, handIn } = await aLostDay();
    const other = aPen("chief", "second-tablet");
    const asOther = { ...chief, device: other.device as DeviceId };
    const first = [
      its.chief.write("faults-frozen", { library: library("As it was said") }),
      its.chief.write("opened", { title: "Renamed", date: "2026-06-06", rules: 3 }),
    ] as AnyEntry[];
    other.hear(100);
    const second = [
      other.write("faults-frozen", { library: library("Later") }),
      other.write("closed", {}),
    ] as AnyEntry[];
    const again = [await keptBefore(chief, first), await keptBefore(asOther, second)] as const;
    expect(await handIn(asOther, again[1])).toEqual([]);
    const made = first.map((line) => ({ ...line, receipt: "0".repeat(32) }));
    expect(await handIn(chief, made)).toEqual(["ENTRY_MALFORMED", "GRADING_CLOSED"]);
    expect(await handIn(chief, again[0])).toEqual([]);
    expect(room.book.plan.library?.title).toBe("As it was said");
    expect(room.book.plan.opened?.title).toBe("Renamed");
  });

  it("[H181] stays out where its place was passed over, and its judge has locked without it", async () => {
    const { plan, first, room, as, keptBefore, handIn } = await aLostDay();
    const who = as(first.pen.device);
    const marks = all(first, plan, 4);
    const second = all(first, plan, 1);
    const lock = lockOf(first, [...plan, ...marks, ...second]);
    const lines = await keptBefore(who, [...marks, ...second, lock]);
    const garbled = lines.map((line, at) =>
      at >= marks.length && at < lines.length - 1 ? { ...line, kind: undefined } : line,
    );
    await handIn(who, garbled);
    expect(levels(room)).toEqual(marks.map(() => `${first.person} 4`));
    // The marks are open, and the judge has seen the others'.
    const late = lines.slice(marks.length, -1);
    expect(await handIn(who, late)).toEqual(late.map(() => "ALREADY_LOCKED"));
    expect(levels(room)).toEqual(marks.map(() => `${first.person} 4`));
  });

  it("[H181] stands back where the judge, or whoever has the place now, has locked anew", async () => {
    for (const isReplaced of [false, true]) {
      const { day: its, plan, first, room, as, keptBefore, handIn } = await aLostDay();
      const marks = all(first, plan, 1);
      const lines = await keptBefore(as(first.pen.device), [
        ...marks,
        lockOf(first, [...plan, ...marks]),
      ]);
      const person = isReplaced ? ("spare" as PersonId) : first.person;
      const replaced = its.chief.write("judge-replaced", { judge: first.person, by: person });
      if (isReplaced) expect(await handIn(chief, [replaced])).toEqual([]);
      const known = isReplaced ? [...plan, replaced as AnyEntry] : plan;
      const anew = { person, pen: aPen(person, "new-tablet") };
      anew.pen.hear(200);
      const others = all(anew, known, 3);
      const lock = lockOf(anew, [...known, ...others]);
      expect(await handIn(as("new-tablet", person), [...others, lock])).toEqual([]);
      const stood = levels(room);
      expect(stood.length).toBeGreaterThan(0);
      const said = await handIn(as(first.pen.device), lines);
      expect(said.at(-1)).toBe(isReplaced ? "NOT_ASSIGNED" : "ALREADY_LOCKED");
      expect(levels(room)).toEqual(stood);
    }
  });

  it("[H181] stands back where the chief has opened the marks without it", async () => {
    const { day: its, plan, first, room, as, keptBefore, handIn } = await aLostDay();
    const who = as(first.pen.device);
    const marks = all(first, plan, 4);
    const copied = await keptBefore(who, marks);
    await handIn(who, copied);
    const later = all(first, plan, 1);
    const lines = await keptBefore(who, [...later, lockOf(first, [...plan, ...marks, ...later])]);
    its.chief.hear(room.book.lamport);
    const replaced = its.chief.write("judge-replaced", {
      judge: first.person,
      by: "spare" as PersonId,
    });
    const { record, ref } = aReason("chief", "Gone home.");
    const opened = its.chief.write("revealed", {
      ...{ section: blocks, candidates: [mia], reason: ref },
    });
    expect((await room.handIn(chief, [replaced, opened], [record])).refused).toEqual([]);
    const stood = levels(room);
    expect((await handIn(who, lines)).at(-1)).toBe("NOT_ASSIGNED");
    expect(levels(room)).toEqual(stood);
  });

  it("[H181] of a plan that the chief did not have who has decided anew changes nothing of it", async () => {
    const { day: its, plan, first, room, as, keptBefore, handIn } = await aLostDay();
    const co = { person: "chief-2" as PersonId, pen: aPen("chief-2") };
    const asCo = {
      person: co.person,
      roles: ["chief"] as const,
      device: co.pen.device as DeviceId,
    };
    const spare = { person: "spare" as PersonId, pen: aPen("spare") };
    co.pen.hear(50);
    spare.pen.hear(60);
    const assigned = co.pen.write("assigned", {
      judge: spare.person,
      section: blocks,
      candidates: [mia],
    }) as AnyEntry;
    const known = [...plan, assigned];
    const theirs = all(spare, known, 1);
    const ofCo = await keptBefore(asCo, [assigned]);
    const ofSpare = await keptBefore(as(spare.pen.device, spare.person), [
      ...theirs,
      lockOf(spare, [...known, ...theirs]),
    ]);
    first.pen.hear(200);
    const marks = all(first, plan, 3);
    const lock = lockOf(first, [...plan, ...marks]);
    expect(await handIn(as(first.pen.device), [...marks, lock])).toEqual([]);
    await issuesRetest(room, its.chief, mia, "Seen again.");
    const stood = levels(room);
    expect(await handIn(asCo, ofCo)).toEqual(["SECTION_OPEN"]);
    expect(new Set(await handIn(as(spare.pen.device, spare.person), ofSpare))).toEqual(
      new Set(["NOT_ASSIGNED"]),
    );
    expect([room.book.openings.isRevealed(mia, blocks), levels(room)]).toEqual([true, stood]);
  });

  it("[H193] comes behind the locks that came again, whatever the chief has planned since for others, or of their own watch not", async () => {
    const ninth = "candidate-9" as CandidateId;
    for (const isOfMia of [false, true]) {
      const { day: its, plan, first, room, as, keptBefore, handIn } = await aLostDay();
      const desk = aPen("desk-1", "desk");
      desk.hear(100);
      const asDesk = { person: "desk-1" as PersonId, roles: ["desk"], device: "desk" } as never;
      const excused = desk.write("excused", {
        ...{ candidate: mia, section: blocks, item: "low-block" as ItemId },
      }) as AnyEntry;
      const known = [...plan, excused];
      const marks = all(first, known, 3);
      const lock = lockOf(first, [...known, ...marks]);
      const ofDesk = await keptBefore(asDesk, [excused]);
      const ofJudge = await keptBefore(as(first.pen.device), [...marks, lock]);
      // A late child, or the child's own watch written anew.
      its.chief.hear(room.book.lamport);
      const { judge: person, section } = { judge: first.person, section: blocks };
      const planned = [
        its.chief.write("entered", { candidate: ninth, number: 9, rubric: aRubric().id }),
        its.chief.write("assigned", { judge: person, section, candidates: [ninth], wave: 2 }),
        ...(isOfMia
          ? [its.chief.write("assigned", { judge: person, section, candidates: [mia] })]
          : []),
      ];
      expect(await handIn(chief, planned)).toEqual([]);
      expect(await handIn(as(first.pen.device), ofJudge)).toEqual([]);
      expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
      expect(await handIn(asDesk, ofDesk)).toEqual(isOfMia ? ["EXCUSE_LATE"] : []);
    }
  });

  it("[H195] that says who marks whom comes again whatever was decided since of children whom it does not touch", async () => {
    const its = aTestDay({ judges: 2, candidates: 3 });
    const [ben, cleo] = its.candidates.slice(1) as [CandidateId, CandidateId];
    const [anna, bo] = its.judges.map(({ person }) => person) as [PersonId, PersonId];
    const watch = (candidates: CandidateId[], judgeOf = anna) =>
      ({ judge: judgeOf, section: blocks, wave: 2, candidates }) as const;
    const says = (candidates: CandidateId[]) => its.chief.write("assigned", watch(candidates));
    const [, , ...others] = its.plan.filter(({ kind }) => kind === "assigned");
    const seated = its.plan.filter((line) => !others.includes(line) && line.kind !== "assigned");
    // Whom the watch named long ago it does not touch; whom it names, and leaves out, it does.
    const watches = [says([mia, ben, cleo]), says([]), says([ben])];
    const verdictOn = (candidate: CandidateId) =>
      its.chief.write("verdict", {
        ...{ candidate, result: "pass", computed: "pass", retestSections: [], basis: {} },
      });
    const second = aPen("chief-2");
    second.hear(200);
    const assigned = second.write("assigned", watch([mia]));
    const replaced = second.write("judge-replaced", { judge: anna, by: bo });
    const stopped = (line: object) =>
      [mia, ben, cleo].filter((candidate) => {
        const book = fold([...seated, ...watches, verdictOn(candidate)] as AnyEntry[]);
        const here = {
          book,
          last: 0,
          again: new Set<EntryId>(),
          ofCopy: new Set<EntryId>(),
          news: [],
        };
        return !isKeptAgain(here, line as AnyEntry, "SECTION_OPEN");
      });
    expect(stopped(assigned)).toEqual([mia, ben]);
    expect(stopped(replaced)).toEqual([ben]);
    expect(stopped(second.write("assigned", watch([mia], bo)))).toEqual([mia]);
    expect(stopped(second.write("lined-up", { wave: 2, lanes: [cleo] }))).toEqual([cleo]);
    expect(stopped(second.write("lined-up", { wave: 1, lanes: [mia] }))).toEqual([mia, ben, cleo]);
    expect(stopped(aMark(its.judges[0]?.pen as Pen, { candidate: ben }))).toEqual([ben]);
  });

  it("[H206] comes again whatever was decided in the older copy already", () => {
    const its = aTestDay({ judges: 2, candidates: 1 });
    const verdict = its.chief.write("verdict", {
      ...{ candidate: mia, result: "pass", computed: "pass", retestSections: [], basis: {} },
    });
    const book = fold([...its.plan, verdict] as AnyEntry[]);
    const late = aPen("chief-2");
    late.hear(200);
    const line = late.write("excused", {
      ...{ candidate: mia, section: blocks, item: "rising-block" as ItemId },
    }) as AnyEntry;
    const here = { book, last: 0, again: new Set<EntryId>(), news: [] };
    const ofCopy = new Set([...book.entries()].map(({ id }) => id));
    expect(isKeptAgain({ ...here, ofCopy }, line, "EXCUSE_LATE")).toBe(true);
    expect(isKeptAgain({ ...here, ofCopy: new Set() }, line, "EXCUSE_LATE")).toBe(false);
    // Also an acknowledged mark of another scale: it is not read by this one (S312), and the word of its own may still come.
    const mark = aMark(its.judges[0]?.pen as Pen, { candidate: mia });
    for (const code of ["LEVEL_OUT_OF_SCALE", "SCALE_OTHER"] as const)
      expect(isKeptAgain({ ...here, book: fold(its.plan), ofCopy }, mark, code)).toBe(true);
  });

  it("[H208] of a lock comes again behind one that was in the older copy, of whoever has the place since", () => {
    const its = aTestDay({ judges: 3, candidates: 1 });
    type Judge = TestDay["judges"][number];
    const [anna, bo] = its.judges as [Judge, Judge];
    const whole = (judge: Judge, known: AnyEntry[]): AnyEntry[] => {
      const marks = all(judge, known, 3);
      return [...marks, lockOf(judge, [...known, ...marks])];
    };
    const copied = [...its.plan, ...whole(anna, [...its.plan])];
    const lock = whole(bo, copied).at(-1) as AnyEntry;
    its.chief.hear(200);
    const given = its.chief.write("judge-replaced", { judge: bo.person, by: anna.person });
    anna.pen.hear(300);
    const recused = anna.pen.write("recused", { candidate: mia, section: null, reason: null });
    const book = fold([...copied, given, recused] as AnyEntry[]);
    const ofCopy = new Set(copied.map(({ id }) => id));
    const here = { book, last: 0, again: new Set<EntryId>(), news: [] };
    expect(isKeptAgain({ ...here, ofCopy }, lock, "NOT_ASSIGNED")).toBe(true);
    // One that nobody had is the place's word, made anew.
    const ofPlan = new Set(its.plan.map(({ id }) => id));
    expect(isKeptAgain({ ...here, ofCopy: ofPlan }, lock, "NOT_ASSIGNED")).toBe(false);
  });

  it("[H195] of a watch that the lost hub had acknowledged lets the marks of that judge count, behind a verdict on somebody else", async () => {
    const { day: its, plan, first, room, as, keptBefore, handIn } = await aLostDay();
    const ninth = "candidate-9" as CandidateId;
    const entered = its.chief.write("entered", {
      ...{ candidate: ninth, number: 9, rubric: aRubric().id },
    }) as AnyEntry;
    const before = await keptBefore(chief, [entered]);
    expect(await handIn(chief, before)).toEqual([]);
    const co = aPen("chief-2");
    co.hear(50);
    const asCo = { person: "chief-2" as PersonId, roles: ["chief"], device: co.device } as never;
    const spare = { person: "spare" as PersonId, pen: aPen("spare") };
    for (const pen of [spare.pen, first.pen]) pen.hear(60);
    const assigned = co.write("assigned", {
      ...{ judge: spare.person, section: blocks, wave: 1, candidates: [mia] },
    }) as AnyEntry;
    const known = [...plan, entered, assigned];
    const theirs = all(spare, known, 1);
    const marks = all(first, known, 3);
    const asSpare = as(spare.pen.device, spare.person);
    const ofCo = await keptBefore(asCo, [assigned]);
    const ofSpare = await keptBefore(asSpare, [...theirs, lockOf(spare, [...known, ...theirs])]);
    const ofFirst = await keptBefore(as(first.pen.device), [
      ...marks,
      lockOf(first, [...known, ...marks]),
    ]);
    expect(await handIn(as(first.pen.device), ofFirst)).toEqual([]);
    expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
    await issuesRetest(room, its.chief, ninth, "Went home.");
    expect(await handIn(asCo, ofCo)).toEqual([]);
    expect(await handIn(asSpare, ofSpare)).toEqual([]);
    expect(room.book.openings.hasLocked(spare.person, mia, blocks)).toBe(true);
    expect(levels(room)).toContain("spare 1");
  });

  it("[H190] of an excuse changes nothing of marks that the chief has opened since without it", async () => {
    const { day: its, plan, room, keptBefore, handIn } = await aLostDay();
    const desk = aPen("desk-1", "desk");
    desk.hear(100);
    const asDesk = { person: "desk-1" as PersonId, roles: ["desk"], device: "desk" } as never;
    const excused = desk.write("excused", {
      ...{ candidate: mia, section: blocks, item: "low-block" as ItemId },
    }) as AnyEntry;
    const ofDesk = await keptBefore(asDesk, [excused]);
    const { record, ref } = aReason("chief", "Gone home.");
    its.chief.hear(plan.length);
    const opened = its.chief.write("revealed", {
      ...{ section: blocks, candidates: [mia], reason: ref },
    });
    expect((await room.handIn(chief, [opened], [record])).refused).toEqual([]);
    expect(await handIn(asDesk, ofDesk)).toEqual(["EXCUSE_LATE"]);
  });

  it("[H181] stands back where a question was answered anew, and where a plan leaves out whoever has a verdict since", async () => {
    const { day: its, plan, first } = await aLostDay();
    const verdict = its.chief.write("verdict", {
      ...{ candidate: mia, result: "pass", computed: "pass", retestSections: [], basis: {} },
    }) as AnyEntry;
    const watch = { judge: first.person, section: blocks, wave: 1 };
    const known = [
      ...plan,
      its.chief.write("assigned", { ...watch, candidates: [mia] }),
    ] as AnyEntry[];
    const nothing = new Set<EntryId>();
    const book = fold([...known, verdict]);
    const here = { book, last: 0, again: nothing, ofCopy: nothing, news: [] };
    const answered = first.pen.write("answered", {
      ...{ request: verdict.id, candidate: mia, section: blocks, basis: {} },
    }) as AnyEntry;
    const undecided = { ...here, book: fold(known) };
    expect(isKeptAgain(undecided, answered, "REQUEST_ANSWERED")).toBe(false);
    expect(isKeptAgain(undecided, answered, "REQUEST_OTHER")).toBe(true);
    const second = aPen("chief-2");
    second.hear(100);
    const assigned = second.write("assigned", { ...watch, candidates: [] }) as AnyEntry;
    expect(isKeptAgain(here, assigned, "SECTION_OPEN")).toBe(false);
    expect(isKeptAgain(undecided, assigned, "SECTION_OPEN")).toBe(true);
    expect(isKeptAgain({ ...here, again: new Set([verdict.id]) }, assigned, "SECTION_OPEN")).toBe(
      true,
    );
  });
});
