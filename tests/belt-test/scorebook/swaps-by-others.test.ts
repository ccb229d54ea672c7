import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import type { Basis } from "../../../src/belt-test/kinds/body-parts.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import type { AnyEntry } from "../../../src/belt-test/scorebook/entry.ts";
import type { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import { leftOnceSwapped } from "../../../src/belt-test/scorebook/swapped-lanes.ts";
import { type Row, rowKey, swappedMarks } from "../../../src/belt-test/scorebook/swapped-marks.ts";
import { swapsByOthers } from "../../../src/belt-test/scorebook/swaps-by-others.ts";
import { lastUndoable, undoOf, writtenTogether } from "../../../src/belt-test/scorebook/undo.ts";
import type { EntryId, PersonId } from "../../../src/book/identity.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";

const criteria = ["chamber", "extension", "target"] as CriterionId[];
const script: readonly Row[] = waveScript(fold(aTestDay().plan), 1).map(
  ({ section, item, markedSide: side }) => ({ section, item, side }),
);
const row: Row = { section: "blocks" as SectionId, item: "rising-block" as ItemId, side: "left" };
const who = (n: number) => `candidate-${n}` as CandidateId;
const judgeOf = (n: number) => `judge-${n}` as PersonId;

/** A hall in which everybody hears everything at once: two judges, a caller, three children, the first call said. */
class Hall {
  readonly entries: AnyEntry[] = [];
  readonly #pens: Map<string, Pen>;
  /** By judge and swap: what their tablet had written when it heard of it. */
  readonly #writtenBefore = new Map<string, Basis>();
  /** Judges without a line. */
  readonly away = new Map<PersonId, number>();

  constructor({ rubric = aRubric() } = {}) {
    const day = aTestDay({ judges: 2, rubric });
    this.#pens = new Map(day.judges.map(({ person, pen }) => [person, pen]));
    this.#pens.set("caller", aPen("caller"));
    this.entries.push(...day.plan);
    this.call(row);
  }
  get book() {
    return fold(this.entries);
  }
  pen(person: string): Pen {
    const pen = this.#pens.get(person);
    if (!pen) throw new Error(person);
    if (!this.away.has(person as PersonId)) pen.hear(this.book.lamport);
    return pen;
  }
  /** @param alone  where children come one at a time: whose turn it is */
  call(of: Row, alone?: CandidateId) {
    const body = { wave: 1, ...of, ...(alone && { candidates: [alone] }) };
    this.entries.push(this.pen("caller").write("called", body));
  }
  /** What this judge's tablet has heard. */
  glassOf(judge: PersonId) {
    const since = this.away.get(judge) ?? this.entries.length;
    return fold(this.entries.filter(({ by }, at) => at < since || by === judge));
  }
  #left(a: number, b: number) {
    return leftOnceSwapped(this.book.plan.lanes(1), [who(a), who(b)]);
  }
  /** Said by the caller: nobody's marks move. */
  swap(a: number, b: number) {
    const swap = this.pen("caller").write("lanes-swapped", {
      wave: 1,
      candidates: [who(a), who(b)],
      left: this.#left(a, b),
    });
    this.entries.push(swap);
    for (const judge of [anna, boris]) if (!this.away.has(judge)) this.#hears(judge, swap.id);
    return swap.id;
  }
  /** Several see the same, and say so before one hears of another. */
  swapAtOnce(judges: readonly PersonId[], a: number, b: number) {
    const { book } = this;
    const left = this.#left(a, b);
    const acts = judges.map((judge) => this.#swapOf(judge, book, left, a, b));
    const swap = this.pen("caller").write("lanes-swapped", {
      wave: 1,
      candidates: [who(a), who(b)],
      left,
    });
    this.entries.push(...acts.flat(), swap);
    for (const judge of [anna, boris])
      for (const { by, kind, id } of [...acts.flat(), swap])
        if (kind === "lanes-swapped" && by !== judge && !this.away.has(judge))
          this.#hears(judge, id);
  }
  #hears(judge: PersonId, swap: EntryId) {
    const its = this.entries.filter(({ by }) => by === judge);
    this.#writtenBefore.set(`${judge}/${swap}`, fold(its).basis);
  }
  /** The judge's line is back: what was said meanwhile is heard in one breath. */
  comesBack(judge: PersonId) {
    const since = this.away.get(judge) ?? this.entries.length;
    this.away.delete(judge);
    this.pen(judge);
    for (const { id, kind, by } of this.entries.slice(since))
      if (kind === "lanes-swapped" && by !== judge) this.#hears(judge, id);
  }
  goesAway(judge: PersonId) {
    this.pen(judge);
    this.away.set(judge, this.entries.length);
  }
  /** Said by a judge: that judge's marks go along. */
  swapBy(judge: PersonId, a: number, b: number) {
    this.entries.push(...this.#swapOf(judge, this.book, this.#left(a, b), a, b));
  }
  #swapOf(judge: PersonId, book: Scorebook, left: CandidateId, a: number, b: number) {
    const pair = [who(a), who(b)] as [CandidateId, CandidateId];
    const { bodies } = swappedMarks(book, judge, row, pair);
    const batch = `act-${judge}-${this.entries.length}`;
    const pen = this.pen(judge);
    return [
      pen.write("lanes-swapped", { wave: 1, candidates: pair, batch, left }),
      ...bodies.map((body) => pen.write("mark", { ...body, batch })),
    ] as AnyEntry[];
  }
  mark(judge: PersonId, candidate: CandidateId, criterion: CriterionId, level: number) {
    this.entries.push(aMark(this.pen(judge), { ...row, candidate, criterion, level }));
  }
  lock(judge: PersonId, candidate: CandidateId) {
    const body = { section: row.section, candidates: [candidate], basis: {} as never };
    this.entries.push(this.pen(judge).write("locked", body));
  }
  asked(judge: PersonId, answered: readonly [Row, EntryId][] = []) {
    return swapsByOthers(this.book, judge, 1, {
      rows: script,
      writtenBefore: (swap) => this.#writtenBefore.get(`${judge}/${swap}`),
      rowOf: ({ section, item, side }) => ({ section, item, side }),
      shown: row,
      isAnswered: (of, swap) =>
        answered.some(([one, id]) => rowKey(one) === rowKey(of) && id === swap),
    });
  }
  goAlong(judge: PersonId) {
    for (const { marks } of this.asked(judge)) {
      const batch = `act-${this.entries.length}`;
      const pen = this.pen(judge);
      this.entries.push(...marks.bodies.map((body) => pen.write("mark", { ...body, batch })));
    }
  }
  undo(judge: PersonId) {
    const { book } = this;
    const last = lastUndoable(book, judge);
    const undos = last ? writtenTogether(book, last).map((one) => undoOf(book, one)) : [];
    const pen = this.pen(judge);
    this.entries.push(
      ...undos.map(({ kind, body, replaces }) => pen.write(kind, body, replaces) as AnyEntry),
    );
  }
  levels(judge: PersonId) {
    const { marks } = this.book;
    return [1, 2, 3].map((n) =>
      criteria.map((criterion) => marks.cell(judge, who(n), { ...row, criterion })?.level),
    );
  }
}

const [chamber, extension] = criteria as [CriterionId, CriterionId];
const [anna, boris] = [judgeOf(1), judgeOf(2)];

describe("a swap of lanes that another said", () => {
  it("[S266] asks each judge who has marks of the call for one of the two, and nobody else", () => {
    const hall = new Hall();
    hall.mark(anna, who(1), chamber, 1);
    hall.mark(boris, who(3), chamber, 2);
    const swap = hall.swap(1, 2);
    expect(hall.asked(boris)).toEqual([]);
    expect(hall.asked(anna)).toMatchObject([
      { row, pairs: [[who(1), who(2)]], swaps: [swap], isWholeLeft: false, marks: { stay: [] } },
    ]);
    hall.goAlong(anna);
    expect(hall.levels(anna).map(([level]) => level)).toEqual([undefined, 1, undefined]);
    expect(hall.asked(anna)).toEqual([]);
    // Taken back, the marks are on the names again, and are asked about again.
    hall.undo(anna);
    expect(hall.levels(anna).map(([level]) => level)).toEqual([1, undefined, undefined]);
    expect(hall.asked(anna)).toHaveLength(1);
  });

  it("[S266] asks the others and not the judge who said it, but does when it was said as the caller", () => {
    const hall = new Hall();
    for (const judge of [anna, boris]) hall.mark(judge, who(1), chamber, 1);
    hall.swapBy(anna, 1, 2);
    expect(hall.asked(anna)).toEqual([]);
    expect(hall.asked(boris)).toHaveLength(1);
    // Undo brings Anna's marks and the lanes back: nothing is left to ask.
    hall.undo(anna);
    expect([...hall.asked(anna), ...hall.asked(boris)]).toEqual([]);
    const pair = [who(1), who(2)] as [CandidateId, CandidateId];
    hall.entries.push(hall.pen(anna).write("lanes-swapped", { wave: 1, candidates: pair }));
    expect(hall.asked(anna)).toHaveLength(1);
  });

  it("[S266] asks nothing of what was marked since, of what was answered, and of a swap taken back", () => {
    const hall = new Hall();
    hall.mark(anna, who(1), chamber, 1);
    const first = hall.swap(1, 2);
    hall.mark(anna, who(2), extension, 4);
    expect(hall.asked(anna)[0]?.marks.bodies.flatMap(({ cells }) => cells)).toHaveLength(2);
    expect(hall.asked(anna, [[row, first]])).toEqual([]);
    // Of whom was marked anew the mark stays; the other's was given to that one, and goes.
    hall.mark(anna, who(2), chamber, 2);
    const [asked] = hall.asked(anna);
    expect(asked?.marks.bodies.flatMap(({ cells }) => cells)).toMatchObject([
      { candidate: who(1), criterion: chamber, level: "cleared" },
    ]);
    const other = new Hall();
    other.mark(anna, who(1), chamber, 1);
    other.swap(1, 2);
    other.swap(2, 1);
    expect(other.asked(anna)).toEqual([]);
    other.swap(1, 2);
    expect(other.asked(anna)).toMatchObject([{ pairs: [[who(1), who(2)]] }]);
  });

  it("[S266] is about the call that was called then, however late a judge hears of it; before any call, about the one shown", () => {
    const hall = new Hall();
    hall.mark(anna, who(1), chamber, 1);
    hall.swap(1, 2);
    hall.call({ ...row, side: "right" });
    hall.entries.push(aMark(hall.pen(anna), { ...row, side: "right", candidate: who(1) }));
    expect(hall.asked(anna).map((one) => one.row)).toEqual([row]);
    const early = new Hall();
    early.entries.pop();
    early.mark(anna, who(1), chamber, 1);
    early.swap(1, 2);
    expect(early.asked(anna)).toHaveLength(1);
  });

  it("[S266] moves nothing where one of the two is locked, nor of a list, and says so", () => {
    const hall = new Hall();
    hall.mark(anna, who(1), chamber, 1);
    hall.lock(anna, who(1));
    hall.swap(1, 2);
    expect(hall.asked(anna)).toMatchObject([{ marks: { bodies: [], isLocked: true } }]);
    const list = new Hall();
    const etiquette = { section: "etiquette" as SectionId, item: null, side: null };
    list.call(etiquette);
    list.swap(2, 3);
    expect(list.asked(anna)).toEqual([]);
    const done = { item: "bows-in", side: null, criterion: "done", level: 2 };
    list.entries.push(aMark(list.pen(anna), { ...done, section: "etiquette", candidate: who(1) }));
    list.swap(1, 2);
    expect(list.asked(anna)).toMatchObject([
      { row: etiquette, pairs: [[who(1), who(2)]], isWholeLeft: true, marks: { bodies: [] } },
    ]);
  });

  // In an ordinary hall nobody was asked: whoever had locked was ahead of the caller, who is told of no lock.
  it("[S271] asks also a judge whose logical time is ahead of the caller's", () => {
    const hall = new Hall();
    hall.pen(anna).hear(hall.book.lamport + 3);
    hall.goesAway(anna);
    hall.mark(anna, who(1), chamber, 1);
    hall.away.delete(anna);
    hall.away.set("caller" as PersonId, 0);
    const swap = hall.swap(1, 2);
    expect(hall.entries.at(-1)?.lamport).toBeLessThan(hall.entries.at(-2)?.lamport as number);
    expect(hall.asked(anna)).toMatchObject([{ row, swaps: [swap] }]);
    hall.mark(anna, who(2), extension, 4);
    hall.goAlong(anna);
    expect(hall.levels(anna).map((its) => its.slice(0, 2))).toEqual([
      [undefined, undefined],
      [1, 4],
      [undefined, undefined],
    ]);
    expect(hall.asked(anna)).toEqual([]);
  });

  it("[S272] asks of each call to which a judge without a line went on with the old names", () => {
    const hall = new Hall();
    const right: Row = { ...row, side: "right" };
    hall.mark(anna, who(1), chamber, 1);
    hall.goesAway(anna);
    hall.swap(1, 2);
    hall.call(right);
    const marks = (candidate: CandidateId, level: number) =>
      hall.entries.push(
        aMark(hall.pen(anna), { ...row, side: "right", candidate, criterion: chamber, level }),
      );
    marks(who(1), 2);
    marks(who(3), 3);
    hall.comesBack(anna);
    expect(hall.asked(anna).map((one) => rowKey(one.row))).toEqual([row, right].map(rowKey));
    hall.goAlong(anna);
    const level = (n: number) =>
      hall.book.marks.cell(anna, who(n), { ...right, criterion: chamber })?.level;
    expect([1, 2, 3].map(level)).toEqual([undefined, 2, 3]);
    // What is marked from now on is marked on the names as they stand.
    hall.call({ ...row, item: "low-block" as ItemId });
    hall.entries.push(
      aMark(hall.pen(anna), { ...row, item: "low-block" as ItemId, candidate: who(1) }),
    );
    expect(hall.asked(anna)).toEqual([]);
  });

  // A stranger's judge was asked about the wrong call first, and would have moved its marks back.
  it("[S272] asks nothing of an earlier call about a swap that was said later", () => {
    const hall = new Hall();
    hall.mark(anna, who(1), chamber, 1);
    hall.swap(1, 2);
    hall.goAlong(anna);
    const right: Row = { ...row, side: "right" };
    hall.call(right);
    hall.entries.push(
      aMark(hall.pen(anna), { ...right, candidate: who(1), criterion: chamber, level: 2 } as never),
    );
    hall.swap(1, 2);
    expect(hall.asked(anna).map((one) => rowKey(one.row))).toEqual([rowKey(right)]);
  });

  // A stranger's chief lined the wave up anew for a late child: the question was gone, and the marks lay wrong for good.
  it("[S276] goes on asking when the chief has written the lanes anew since", () => {
    const hall = new Hall();
    hall.mark(anna, who(1), chamber, 1);
    hall.swap(1, 2);
    const chief = aPen("chief", "chief-second");
    chief.hear(hall.book.lamport);
    hall.entries.push(chief.write("lined-up", { wave: 1, lanes: [2, 1, 3].map(who) }));
    expect(hall.asked(anna)).toMatchObject([{ row, pairs: [[who(1), who(2)]] }]);
  });

  // Laid through it twice, a judge's mark was doubled.
  it("[S272] goes once through a row that is called on both sides and marked once", () => {
    const hall = new Hall();
    const both: Row = { ...row, item: "low-block" as ItemId, side: null };
    expect(script.filter((one) => rowKey(one) === rowKey(both))).toHaveLength(2);
    hall.goesAway(anna);
    hall.swap(1, 2);
    hall.entries.push(
      aMark(hall.pen(anna), { ...both, candidate: who(1), criterion: chamber, level: 3 }),
    );
    hall.comesBack(anna);
    hall.goAlong(anna);
    const level = (n: number) =>
      hall.book.marks.cell(anna, who(n), { ...both, criterion: chamber })?.level;
    expect([level(1) === 3, level(2)]).toEqual([false, 3]);
    expect(hall.asked(anna)).toEqual([]);
  });

  // A stranger's judge was asked of one item, and the other's marks stayed on the child who had not come.
  describe("where children come one at a time", () => {
    const { sections, ...rest } = aRubric();
    const alone = {
      ...rest,
      sections: sections.map((its) => ({
        ...its,
        marking: its.id === row.section ? ("single" as const) : its.marking,
      })),
    };
    const turn: readonly Row[] = script.filter(
      (one, at) =>
        one.section === row.section &&
        one.item !== null &&
        script.findIndex((other) => rowKey(other) === rowKey(one)) === at,
    );
    const marked = (hall: Hall, child: number) =>
      turn.map(
        (one) => hall.book.marks.cell(anna, who(child), { ...one, criterion: chamber })?.level,
      );
    const mark = (hall: Hall, child: number) => {
      for (const one of turn)
        hall.entries.push(
          aMark(hall.pen(anna), { ...one, candidate: who(child), criterion: chamber, level: 2 }),
        );
    };
    const calls = (hall: Hall, child: number) => {
      for (const one of turn) hall.call(one, who(child));
    };
    const all = turn.map(() => 2);
    const none = turn.map(() => undefined);

    it("[S283] is about all that is done in the turn, also what was called in the turn before", () => {
      const hall = new Hall({ rubric: alone });
      calls(hall, 1);
      hall.goesAway(anna);
      hall.call(turn[0] as Row, who(2));
      hall.swap(2, 3);
      for (const one of turn.slice(1)) hall.call(one, who(3));
      mark(hall, 2);
      hall.comesBack(anna);
      expect(turn.length).toBeGreaterThan(2);
      expect(hall.asked(anna).map((one) => rowKey(one.row))).toEqual(turn.map(rowKey));
      hall.goAlong(anna);
      expect([marked(hall, 2), marked(hall, 3)]).toEqual([none, all]);
      expect(hall.asked(anna)).toEqual([]);
    });
  });

  // A swap by mistake, taken back when the caller had gone on: others were asked of the first call for good.
  it("[S276] is about the same call when it is taken back later", () => {
    const hall = new Hall();
    const pair = [who(1), who(2)] as [CandidateId, CandidateId];
    hall.mark(anna, who(1), chamber, 1);
    hall.entries.push(
      hall
        .pen(boris)
        .write("lanes-swapped", { wave: 1, candidates: pair, call: { ...row }, batch: "b" }),
    );
    hall.call({ ...row, side: "right" });
    hall.undo(boris);
    expect(hall.book.plan.lanes(1)).toEqual([1, 2, 3].map(who));
    expect(hall.asked(anna)).toEqual([]);
    expect(waveScript(hall.book, 1)[0]?.candidates).toEqual([1, 2, 3].map(who));
  });

  it("[S276] is about what was called behind the call that it names, too", () => {
    const hall = new Hall();
    const right: Row = { ...row, side: "right" };
    hall.mark(anna, who(1), chamber, 1);
    hall.call(right);
    hall.entries.push(
      aMark(hall.pen(anna), { ...row, side: "right", candidate: who(1), criterion: chamber }),
    );
    const pair = [who(1), who(2)] as [CandidateId, CandidateId];
    hall.entries.push(
      hall.pen(boris).write("lanes-swapped", { wave: 1, candidates: pair, call: { ...row } }),
    );
    expect(hall.asked(anna).map((one) => rowKey(one.row))).toEqual([row, right].map(rowKey));
  });

  it("[S276] is about the call that a judge named who was a board behind", () => {
    const hall = new Hall();
    hall.mark(anna, who(1), chamber, 1);
    const right: Row = { ...row, side: "right" };
    hall.call(right);
    hall.entries.push(
      aMark(hall.pen(anna), { ...row, side: "right", candidate: who(3), criterion: chamber }),
    );
    const pair = [who(1), who(2)] as [CandidateId, CandidateId];
    hall.entries.push(
      hall
        .pen(boris)
        .write("lanes-swapped", { wave: 1, candidates: pair, call: { ...row }, batch: "b" }),
    );
    expect(hall.asked(anna).map((one) => rowKey(one.row))).toEqual([rowKey(row)]);
  });

  it("[S271] moves nothing to a child whom this judge does not mark, and says so", () => {
    const hall = new Hall();
    const watch = { judge: anna, section: row.section, candidates: [who(1), who(3)] };
    const old = hall.entries.findIndex(
      ({ kind, body }) =>
        kind === "assigned" &&
        (body as { judge: string }).judge === anna &&
        (body as { section: string }).section === row.section,
    );
    Object.assign(hall.entries[old]?.body as object, watch);
    hall.mark(anna, who(1), chamber, 1);
    hall.swap(1, 2);
    expect(hall.asked(anna)).toMatchObject([{ marks: { bodies: [], isOfOthers: true } }]);
  });

  // A stranger's caller and judge saw the same, and the second took it back for everybody.
  it("[S284] is one swap, however many say it before they hear of each other, and whoever takes it back", () => {
    const hall = new Hall();
    for (const judge of [anna, boris]) hall.mark(judge, who(1), chamber, 1);
    hall.swapAtOnce([anna], 1, 2);
    const lanes = () => hall.book.plan.lanes(1);
    expect(lanes()).toEqual([2, 1, 3].map(who));
    expect(hall.asked(anna)).toEqual([]);
    expect(hall.asked(boris)).toHaveLength(1);
    hall.goAlong(boris);
    const moved = [undefined, 1, undefined];
    for (const judge of [anna, boris])
      expect(hall.levels(judge).map(([level]) => level)).toEqual(moved);
    hall.undo(anna);
    expect(lanes()).toEqual([1, 2, 3].map(who));
    // Behind whoever took it back nothing is taken back a second time.
    const both = new Hall();
    both.swapAtOnce([anna, boris], 1, 2);
    for (const judge of [anna, boris]) both.undo(judge);
    expect(both.book.plan.lanes(1)).toEqual([1, 2, 3].map(who));
    both.swap(1, 2);
    expect(both.book.plan.lanes(1)).toEqual([2, 1, 3].map(who));
  });

  // A stranger's judge, off the line, said at the second call what the caller had said at the first: the first's marks stayed on the wrong child.
  it("[S284] is about the calls of all who said it, but for those that this judge's own hand settled", () => {
    const right: Row = { ...row, side: "right" };
    const hall = new Hall();
    hall.mark(anna, who(1), chamber, 1);
    hall.mark(boris, who(1), chamber, 1);
    hall.goesAway(anna);
    hall.swap(1, 2);
    hall.call(right);
    const at = { ...right, criterion: chamber, level: 2 };
    hall.entries.push(aMark(hall.pen(anna), { ...at, candidate: who(1) }));
    const pen = hall.pen(anna);
    const said = { candidates: [who(1), who(2)] as [CandidateId, CandidateId], left: who(2) };
    hall.entries.push(
      pen.write("lanes-swapped", { wave: 1, ...said, call: { ...right }, batch: "b" }),
      pen.write("mark", {
        ...right,
        cells: [
          { candidate: who(1), criterion: chamber, level: "cleared", how: "tapped" },
          { candidate: who(2), criterion: chamber, level: 2, how: "tapped" },
        ],
        batch: "b",
      }),
    );
    hall.comesBack(anna);
    expect(hall.book.plan.lanes(1)).toEqual([2, 1, 3].map(who));
    expect(hall.asked(anna).map((one) => rowKey(one.row))).toEqual([rowKey(row)]);
    hall.goAlong(anna);
    expect(hall.levels(anna).map(([level]) => level)).toEqual([undefined, 1, undefined]);
    expect(hall.asked(boris).map((one) => rowKey(one.row))).toEqual([rowKey(row)]);
  });

  it("[S266] once everybody let the marks go along, they lie as if all had been named right from the start", () => {
    const event = fc.oneof(
      fc.record({
        kind: fc.constant("mark" as const),
        judge: fc.integer({ min: 1, max: 2 }),
        lane: fc.nat(2),
        criterion: fc.nat(2),
        level: fc.integer({ min: 1, max: 4 }),
      }),
      ...(["caller", "judge", "at-once"] as const).map((kind) =>
        fc.record({
          kind: fc.constant<"caller" | "judge" | "at-once">(kind),
          judge: fc.integer({ min: 1, max: 2 }),
          pair: fc.constantFrom<[number, number]>([1, 2], [2, 3], [1, 3]),
        }),
      ),
      fc.record({
        kind: fc.constantFrom(
          "answer" as const,
          "away" as const,
          "back" as const,
          "ahead" as const,
        ),
        judge: fc.integer({ min: 1, max: 2 }),
      }),
    );
    fc.assert(
      fc.property(fc.array(event, { maxLength: 14 }), (events) => {
        const hall = new Hall();
        /** By judge, where each child stood in truth: lanes never change their children. */
        const truth = new Map([1, 2].map((n) => [n, [0, 1, 2].map(() => [] as number[])]));
        for (const one of events) {
          const judge = judgeOf(one.judge);
          if (one.kind === "caller") {
            hall.swap(...one.pair);
            continue;
          }
          if (one.kind === "ahead") hall.pen(judge).hear(hall.book.lamport + 5);
          if (one.kind === "away" && !hall.away.has(judge)) hall.goesAway(judge);
          if (one.kind === "back") hall.comesBack(judge);
          const isAway = hall.away.has(judge);
          if (isAway && (one.kind === "judge" || one.kind === "at-once")) continue;
          // Whoever swaps without an answer says by it that they have seen the names; marking on says nothing of what was marked before.
          if (!isAway && one.kind !== "mark") hall.goAlong(judge);
          if (one.kind === "judge") hall.swapBy(judge, ...one.pair);
          if (one.kind === "at-once") hall.swapAtOnce([judge], ...one.pair);
          if (one.kind !== "mark") continue;
          const candidate = hall.glassOf(judge).plan.lanes(1)[one.lane] as CandidateId;
          hall.mark(judge, candidate, criteria[one.criterion] as CriterionId, one.level);
          const lane = truth.get(one.judge)?.[one.lane] as number[];
          lane[one.criterion] = one.level;
        }
        for (const judge of [1, 2]) {
          hall.comesBack(judgeOf(judge));
          hall.goAlong(judgeOf(judge));
        }
        const lanes = hall.book.plan.lanes(1);
        for (const judge of [1, 2]) {
          const levels = hall.levels(judgeOf(judge));
          const inLanes = lanes.map((one) => levels[[1, 2, 3].findIndex((n) => who(n) === one)]);
          const wanted = truth.get(judge)?.map((its) => criteria.map((_, at) => its[at]));
          expect(inLanes).toEqual(wanted);
          expect(hall.asked(judgeOf(judge))).toEqual([]);
        }
      }),
    );
  });
});
