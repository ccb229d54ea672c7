import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { callBody } from "../../../src/belt-test/planning/call-body.ts";
import { calledIndex, waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import { laneIn } from "../../../src/belt-test/scorebook/lane-words.ts";
import type { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import { marksAtLanes, strayLanes } from "../../../src/belt-test/scorebook/stray-lanes.ts";
import { lanesOnceSwapped, swapOf } from "../../../src/belt-test/scorebook/swapped-lanes.ts";
import { askedOfAny, type Row, rowKey } from "../../../src/belt-test/scorebook/swapped-marks.ts";
import { lastUndoable, undoOf, writtenTogether } from "../../../src/belt-test/scorebook/undo.ts";
import type { Step } from "../../../src/belt-test/script/script.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";

const criteria = ["chamber", "extension", "target"] as CriterionId[];
const blocks = "blocks" as SectionId;
const row: Row = { section: blocks, item: "rising-block" as ItemId, side: "left" };
const right: Row = { ...row, side: "right" };
const who = (n: number) => `candidate-${n}` as CandidateId;
const [anna, boris, caller] = ["judge-1", "judge-2", "caller"] as [PersonId, PersonId, PersonId];
const [chamber, extension] = criteria as [CriterionId, CriterionId];
type Pair = [number, number];

/** Two judges, a caller, three children, the first call said. Whoever is off the line hears and says nothing until they come back. */
class Hall {
  /** As the hub has them. */
  readonly entries: AnyEntry[] = [];
  readonly #pens = new Map<PersonId, Pen>();
  #clock = 0;
  /** What those have, and have not handed in, who are off the line. */
  readonly #away = new Map<PersonId, { heard: number; own: AnyEntry[] }>();

  constructor({ rubric = aRubric(), candidates = 3 } = {}) {
    const day = aTestDay({ judges: 2, candidates, rubric });
    for (const { person, pen } of day.judges) this.#pens.set(person, pen);
    this.#pens.set(caller, aPen("caller"));
    this.entries.push(...day.plan);
    this.next();
  }
  get book() {
    return fold(this.entries);
  }
  glass(person: PersonId): Scorebook {
    const away = this.#away.get(person);
    return away ? fold([...this.entries.slice(0, away.heard), ...away.own]) : this.book;
  }
  write(person: PersonId, written: (pen: Pen) => AnyEntry[]) {
    const pen = this.#pens.get(person) as Pen;
    if (!this.#away.has(person)) pen.hear(this.book.lamport);
    const entries = written(pen).map((entry) => ({ ...entry, at: entry.at + ++this.#clock }));
    (this.#away.get(person)?.own ?? this.entries).push(...entries);
  }
  isAway(person: PersonId) {
    return this.#away.has(person);
  }
  goesAway(person: PersonId, ahead = 0) {
    this.#pens.get(person)?.hear(this.book.lamport + ahead);
    this.#away.set(person, { heard: this.entries.length, own: [] });
  }
  comesBack(person: PersonId) {
    this.entries.push(...(this.#away.get(person)?.own ?? []));
    this.#away.delete(person);
    this.#pens.get(person)?.hear(this.book.lamport);
  }
  /** The step that is called as this person sees it; another for the number. */
  step(person: PersonId, at?: number): Step {
    const book = this.glass(person);
    const steps = waveScript(book, 1);
    return steps[at ?? Math.max(0, calledIndex(book, 1, steps))] as Step;
  }
  next() {
    const book = this.glass(caller);
    const steps = waveScript(book, 1);
    const next = steps[calledIndex(book, 1, steps) + 1] as Step;
    this.write(caller, (pen) => [pen.write("called", callBody(1, next))]);
  }
  /** Said by the caller: nobody's marks move. */
  swap(a: number, b: number) {
    const lanes = this.glass(caller).plan.lanes(1);
    this.write(caller, (pen) => [
      pen.write("lanes-swapped", { wave: 1, ...swapOf(lanes, [who(a), who(b)]) }),
    ]);
  }
  /** Said by a judge: their marks of the call on the glass go along. */
  swapBy(judge: PersonId, a: number, b: number, at?: number) {
    const step = this.step(judge, at);
    const book = this.glass(judge);
    const lanes = lanesOnceSwapped(step.lanes ?? [], [who(a), who(b)]);
    const { bodies } = marksAtLanes(book, judge, 1, step, lanes);
    const batch = `act-${judge}-${this.entries.length}-${book.size}`;
    const call = { section: step.section, item: step.item, side: step.side };
    const swap = swapOf(step.lanes ?? [], [who(a), who(b)]);
    this.write(judge, (pen) => [
      pen.write("lanes-swapped", { wave: 1, ...swap, call, batch }),
      ...bodies.map((body) => pen.write("mark", { ...body, batch })),
    ]);
  }
  /** In the lane in which the child stands on the judge's glass. */
  mark(judge: PersonId, n: number, criterion: CriterionId, level: number, at?: number) {
    const { section, item, markedSide: side, lanes } = this.step(judge, at);
    const lane = laneIn(lanes, who(n));
    const cell = { section, item, side, lane, candidate: who(n), criterion, level };
    this.write(judge, (pen) => [aMark(pen, cell)] as AnyEntry[]);
  }
  lock(judge: PersonId, n: number) {
    const body = { section: blocks, candidates: [who(n)], basis: {} };
    this.write(judge, (pen) => [pen.write("locked", body)]);
  }
  chiefWrites(lanes: readonly number[], ahead = 0) {
    const chief = aPen("chief", `chief-${this.entries.length}`);
    chief.hear(this.book.lamport + ahead);
    this.entries.push(chief.write("lined-up", { wave: 1, lanes: lanes.map(who) }));
  }
  asked(judge: PersonId) {
    const book = this.glass(judge);
    return strayLanes(book, judge, 1, waveScript(book, 1));
  }
  rowsAsked(judge: PersonId) {
    return this.asked(judge).map((one) => rowKey(one.row));
  }
  goAlong(judge: PersonId) {
    for (const { marks } of this.asked(judge)) {
      const batch = `along-${judge}-${this.glass(judge).size}`;
      this.write(judge, (pen) => marks.bodies.map((body) => pen.write("mark", { ...body, batch })));
    }
  }
  undo(judge: PersonId) {
    const book = this.glass(judge);
    const last = lastUndoable(book, judge);
    const undos = last ? writtenTogether(book, last).map((one) => undoOf(book, one)) : [];
    this.write(judge, (pen) =>
      undos.map(({ kind, body, replaces }) => pen.write(kind, body, replaces) as AnyEntry),
    );
  }
  get lanes() {
    return this.book.plan.lanes(1);
  }
  /** Of each child's chamber. */
  levels(judge: PersonId, of: Row = row) {
    const { marks } = this.book;
    return [1, 2, 3].map((n) => marks.cell(judge, who(n), { ...of, criterion: chamber })?.level);
  }
}

const stand = (...numbers: number[]) => numbers.map(who);
const { sections, ...rest } = aRubric();
const alone = {
  ...rest,
  sections: sections.map((its) => ({
    ...its,
    marking: its.id === blocks ? ("single" as const) : its.marking,
  })),
};

describe("marks of a lane in which another child stood", () => {
  it("[S266] are asked about of each judge who has some, and of nobody else, and go along or stay", () => {
    const hall = new Hall();
    hall.mark(anna, 1, chamber, 1);
    hall.mark(boris, 3, chamber, 2);
    hall.swap(1, 2);
    expect(hall.asked(boris)).toEqual([]);
    expect(hall.asked(anna)).toMatchObject([
      { row, pairs: [[who(1), who(2)]], lanes: stand(2, 1, 3), isWholeLeft: false },
    ]);
    hall.goAlong(anna);
    expect(hall.levels(anna)).toEqual([undefined, 1, undefined]);
    expect(hall.asked(anna)).toEqual([]);
    // Taken back, the marks are on the names again, and are asked about again.
    hall.undo(anna);
    expect(hall.levels(anna)).toEqual([1, undefined, undefined]);
    expect(hall.asked(anna)).toHaveLength(1);
  });

  it("[S266] are not asked about of the judge who said it, nor when all is taken back", () => {
    const hall = new Hall();
    for (const judge of [anna, boris]) hall.mark(judge, 1, chamber, 1);
    hall.swapBy(anna, 1, 2);
    expect(hall.asked(anna)).toEqual([]);
    expect(hall.levels(anna)).toEqual([undefined, 1, undefined]);
    expect(hall.asked(boris)).toHaveLength(1);
    hall.undo(anna);
    expect([...hall.asked(anna), ...hall.asked(boris)]).toEqual([]);
    expect(hall.levels(anna)).toEqual([1, undefined, undefined]);
    expect(hall.lanes).toEqual(stand(1, 2, 3));
  });

  it("[S266] are those of before: what is tapped since was tapped on the new names, and stands where both say the same lane", () => {
    const hall = new Hall();
    hall.mark(anna, 1, chamber, 1);
    hall.swap(1, 2);
    hall.mark(anna, 2, extension, 4);
    expect(hall.asked(anna)[0]?.marks.bodies.flatMap(({ cells }) => cells)).toHaveLength(2);
    hall.mark(anna, 2, chamber, 2);
    expect(hall.asked(anna)[0]?.marks.bodies.flatMap(({ cells }) => cells)).toMatchObject([
      { candidate: who(1), criterion: chamber, level: "cleared" },
    ]);
  });

  // A stranger's judge swapped a caller's slip back, and the own right marks were exchanged.
  it("[S266] stay right under the hand that takes another's slip back", () => {
    const hall = new Hall();
    hall.mark(anna, 1, chamber, 1);
    hall.swap(1, 2);
    hall.swapBy(anna, 1, 2);
    expect(hall.levels(anna)).toEqual([1, undefined, undefined]);
    expect(hall.lanes).toEqual(stand(1, 2, 3));
    expect(hall.asked(anna)).toEqual([]);
  });

  it("[S266] move to nobody who is locked, or not this judge's, and a list stays with the names; all of it is said", () => {
    const hall = new Hall();
    hall.mark(anna, 1, chamber, 1);
    hall.lock(anna, 1);
    hall.swap(1, 2);
    expect(hall.asked(anna)).toMatchObject([{ marks: { bodies: [], isLocked: true } }]);
    const list = new Hall();
    const at = waveScript(list.book, 1).findIndex(({ section }) => section === "etiquette");
    const step = list.step(anna, at);
    list.write(caller, (pen) => [pen.write("called", callBody(1, step))]);
    const done = { section: "etiquette", item: "bows-in", side: null, criterion: "done", level: 2 };
    list.write(anna, (pen) => [aMark(pen, { ...done, candidate: who(1), lane: 1 })] as AnyEntry[]);
    list.swap(1, 2);
    expect(list.asked(anna)).toMatchObject([{ isWholeLeft: true, marks: { bodies: [] } }]);
    const said = { candidate: who(3), section: blocks, judgement: 3, lane: 3 };
    const close = waveScript(list.book, 1).find(
      (one) => one.section === blocks && one.item === null,
    );
    list.write(anna, (pen) => [pen.write("overall", said)]);
    list.swap(3, 1);
    const asked = list.asked(anna).filter((one) => one.row.section === blocks);
    expect(asked.length).toBe(close ? 1 : 0);
  });

  it("[S271] move to nobody whom this judge does not mark, which is said", () => {
    const hall = new Hall();
    const watch = { judge: anna, section: blocks, candidates: [who(1), who(3)] };
    const old = hall.entries.findIndex(
      ({ kind, body }) =>
        kind === "assigned" &&
        (body as { judge: string }).judge === anna &&
        (body as { section: string }).section === blocks,
    );
    Object.assign(hall.entries[old]?.body as object, watch);
    hall.mark(anna, 1, chamber, 1);
    hall.swap(1, 2);
    expect(hall.asked(anna)).toMatchObject([{ marks: { bodies: [], isOfOthers: true } }]);
  });

  it("[S272] are asked about of each call to which a judge without a line went on, and of no call of before", () => {
    const hall = new Hall();
    hall.mark(anna, 1, chamber, 1);
    hall.next();
    hall.goesAway(anna, 9);
    hall.swap(1, 2);
    hall.mark(anna, 1, chamber, 2);
    hall.mark(anna, 3, chamber, 3);
    hall.next();
    hall.comesBack(anna);
    expect(hall.rowsAsked(anna)).toEqual([rowKey(right)]);
    hall.goAlong(anna);
    expect(hall.levels(anna, right)).toEqual([undefined, 2, 3]);
    expect(hall.levels(anna)).toEqual([1, undefined, undefined]);
    // What is marked from now on is marked on the names as they stand.
    hall.mark(anna, 1, chamber, 4);
    expect(hall.asked(anna)).toEqual([]);
  });

  it("[S276] are about the call that a judge named who was a board behind, and those behind it", () => {
    const hall = new Hall();
    hall.mark(anna, 1, chamber, 1);
    hall.next();
    hall.mark(anna, 1, chamber, 2);
    hall.swapBy(boris, 1, 2, 0);
    expect(hall.rowsAsked(anna)).toEqual([row, right].map(rowKey));
    hall.undo(boris);
    expect(hall.asked(anna)).toEqual([]);
  });

  // A stranger's chief lined the wave up anew for a late child: the question was gone, and the marks lay wrong for good.
  it("[S276] are asked about also when the chief writes the lanes as they stand, before or behind whoever says so", () => {
    for (const ahead of [0, -1]) {
      const hall = new Hall();
      hall.mark(anna, 1, chamber, 1);
      if (ahead === 0) hall.swap(1, 2);
      hall.chiefWrites([2, 1, 3], ahead);
      if (ahead < 0) {
        expect(hall.asked(anna)).toHaveLength(1);
        hall.goesAway(caller);
        const lanes = stand(1, 2, 3);
        hall.write(caller, (pen) => [
          pen.write("lanes-swapped", { wave: 1, ...swapOf(lanes, [who(1), who(2)]) }),
        ]);
        hall.comesBack(caller);
      }
      expect(hall.lanes).toEqual(stand(2, 1, 3));
      expect(hall.asked(anna)).toMatchObject([{ row, pairs: [[who(1), who(2)]] }]);
    }
  });

  // A child came to the wave in the call: the question was gone, and marks stayed on the wrong child.
  it("[S276] are told by the same lane where others stand in the wave since, whatever that lane is now", () => {
    for (const [lanes, pair] of [
      [
        [1, 2, 3, 4],
        [1, 2],
      ],
      [
        [4, 1, 2, 3],
        [1, 2],
      ],
      [
        [2, 3],
        [2, 3],
      ],
    ] as [number[], Pair][]) {
      const hall = new Hall({ candidates: 4 });
      hall.chiefWrites([1, 2, 3]);
      hall.mark(anna, pair[0], chamber, 1);
      hall.chiefWrites(lanes);
      expect(hall.asked(anna)).toEqual([]);
      hall.swap(...pair);
      expect(hall.asked(anna)).toMatchObject([{ pairs: [pair.map(who)] }]);
      hall.goAlong(anna);
      expect(hall.asked(anna)).toEqual([]);
      const before = new Hall({ candidates: 4 });
      before.chiefWrites([1, 2, 3]);
      before.mark(anna, pair[0], chamber, 1);
      before.swap(...pair);
      before.chiefWrites(lanes);
      expect(before.asked(anna)).toMatchObject([{ pairs: [pair.map(who)] }]);
    }
  });

  it("[S272] are one row where both sides are marked once", () => {
    const hall = new Hall();
    const both = { ...row, item: "low-block" as ItemId, side: null };
    while (hall.step(caller).item !== both.item) hall.next();
    hall.goesAway(anna);
    hall.swap(1, 2);
    hall.mark(anna, 1, chamber, 3);
    hall.comesBack(anna);
    hall.goAlong(anna);
    expect(hall.levels(anna, both)).toEqual([undefined, 3, undefined]);
    expect(hall.asked(anna)).toEqual([]);
  });

  // Strangers' callers and judges saw the same, and the second took it back for everybody; off the line it was worse.
  it("[S284] are moved once, however many say it before they hear of each other, and whoever takes it back", () => {
    const hall = new Hall();
    for (const judge of [anna, boris]) hall.mark(judge, 1, chamber, 1);
    for (const one of [anna, boris]) hall.goesAway(one, 5);
    hall.swap(1, 2);
    for (const one of [anna, boris]) hall.swapBy(one, 1, 2);
    for (const one of [anna, boris]) hall.comesBack(one);
    expect(hall.lanes).toEqual(stand(2, 1, 3));
    for (const judge of [anna, boris]) {
      expect(hall.asked(judge)).toEqual([]);
      expect(hall.levels(judge)).toEqual([undefined, 1, undefined]);
    }
    for (const judge of [anna, boris]) hall.undo(judge);
    expect(hall.lanes).toEqual(stand(1, 2, 3));
    hall.swap(1, 2);
    expect(hall.lanes).toEqual(stand(2, 1, 3));
  });

  // At the second call a judge said what the caller had said at the first: the first's marks stayed on the wrong child.
  it("[S284] are asked about at each call, whoever said it at which", () => {
    const hall = new Hall();
    for (const judge of [anna, boris]) hall.mark(judge, 1, chamber, 1);
    hall.goesAway(anna);
    hall.swap(1, 2);
    hall.next();
    hall.mark(anna, 1, chamber, 2, 1);
    hall.swapBy(anna, 1, 2, 1);
    hall.comesBack(anna);
    expect(hall.lanes).toEqual(stand(2, 1, 3));
    expect(hall.rowsAsked(anna)).toEqual([rowKey(row)]);
    expect(hall.levels(anna, right)).toEqual([undefined, 2, undefined]);
    expect(hall.rowsAsked(boris)).toEqual([rowKey(row)]);
  });

  // Two swaps that share a child, said by two in the same turn: in the end the children stood as nobody had said.
  it("[S284] end as all said where three stand in each other's place, said in whatever pairs", () => {
    for (const [one, other] of [
      [[[1, 2]], [[2, 3]]],
      [[[1, 3]], [[1, 2]]],
    ] as [Pair[], Pair[]][]) {
      const hall = new Hall();
      hall.mark(boris, 1, chamber, 1);
      hall.goesAway(anna);
      for (const pair of one) hall.swap(...pair);
      hall.next();
      for (const pair of other) hall.swap(...pair);
      const lanes = hall.lanes;
      for (const pair of one) hall.swapBy(anna, ...pair, 0);
      for (const pair of other) hall.swapBy(anna, ...pair, 1);
      hall.comesBack(anna);
      expect(hall.lanes).toEqual(lanes);
      expect(hall.asked(anna)).toEqual([]);
    }
    // A rotation at one call, in other pairs, whichever is the older.
    for (const ahead of [0, 7]) {
      const hall = new Hall();
      hall.goesAway(anna, ahead);
      hall.swap(1, 3);
      hall.swap(1, 2);
      const lanes = hall.lanes;
      hall.swapBy(anna, 1, 2, 0);
      hall.swapBy(anna, 2, 3, 0);
      expect(hall.glass(anna).plan.lanes(1)).toEqual(lanes);
      hall.comesBack(anna);
      expect(hall.lanes).toEqual(lanes);
    }
  });

  it("[S284] go back once, where all who said it say also that it is over", () => {
    const hall = new Hall();
    hall.mark(boris, 1, chamber, 1);
    hall.goesAway(anna, 6);
    hall.goesAway(boris);
    hall.swap(1, 2);
    hall.next();
    hall.swap(1, 2);
    hall.swapBy(anna, 1, 2, 0);
    hall.swapBy(anna, 1, 2, 1);
    for (const one of [anna, boris]) hall.comesBack(one);
    expect(hall.lanes).toEqual(stand(1, 2, 3));
    expect(waveScript(hall.book, 1)[0]?.lanes).toEqual(stand(2, 1, 3));
    expect(hall.rowsAsked(boris)).toEqual([rowKey(row)]);
  });

  // A stranger's judge was asked of one item, and the other's marks stayed on the child who had not come.
  it("[S283] are asked about at every item of the turn where children come one at a time, and what was called before", () => {
    const hall = new Hall({ rubric: alone });
    const turn = waveScript(hall.book, 1).filter(
      ({ candidates, item, asked }) => candidates[0] === who(1) && item && asked,
    );
    const marks = (n: number) => {
      for (const [at, step] of waveScript(hall.glass(anna), 1).entries())
        if (step.candidates[0] === who(n) && step.item && step.asked)
          hall.mark(anna, n, chamber, 2, at);
    };
    const marked = (n: number) =>
      turn.map(
        ({ section, item, markedSide: side }) =>
          hall.book.marks.cell(anna, who(n), { section, item, side, criterion: chamber })?.level,
      );
    while (hall.step(caller).candidates[0] === who(1)) hall.next();
    marks(2);
    hall.swap(2, 3);
    expect(turn.length).toBeGreaterThan(2);
    expect(hall.asked(anna)).toHaveLength(turn.length);
    hall.goAlong(anna);
    expect([marked(2), marked(3)]).toEqual([turn.map(() => undefined), turn.map(() => 2)]);
    expect(hall.asked(anna)).toEqual([]);
  });
});

describe("a hall in which anybody says anything of anybody", () => {
  it("[S266] ends with every mark under the child of its lane, once everybody let the marks go along", () => {
    const someone = fc.constantFrom(anna, boris);
    const pair = fc.constantFrom<[number, number]>([1, 2], [2, 3], [1, 3]);
    const event = fc.oneof(
      fc.record({
        kind: fc.constant("mark" as const),
        judge: someone,
        lane: fc.nat(2),
        criterion: fc.constantFrom(...criteria),
        level: fc.integer({ min: 1, max: 4 }),
        back: fc.nat(1),
      }),
      fc.record({
        kind: fc.constantFrom("caller" as const, "judge" as const),
        judge: someone,
        pair,
        back: fc.nat(1),
      }),
      fc.record({
        kind: fc.constantFrom("answer" as const, "away" as const, "back" as const, "next" as const),
        judge: fc.constantFrom(anna, boris, caller),
        ahead: fc.nat(6),
      }),
    );
    fc.assert(
      fc.property(fc.array(event, { maxLength: 18 }), (events) => {
        const hall = new Hall();
        /** By judge, call, criterion and lane what was given last there, by that judge's own hand. */
        const given = new Map<string, number>();
        for (const one of events) {
          const { judge } = one;
          const at = () => {
            const book = hall.glass(judge);
            const now = calledIndex(book, 1, waveScript(book, 1));
            return Math.max(0, now - ("back" in one ? one.back : 0));
          };
          if (one.kind === "caller") hall.swap(...one.pair);
          else if (one.kind === "judge") hall.swapBy(judge, ...one.pair, at());
          else if (one.kind === "next") {
            if (hall.step(caller).item === row.item) hall.next();
          } else if (one.kind === "away") {
            if (!hall.isAway(judge)) hall.goesAway(judge, judge === caller ? 0 : one.ahead);
          } else if (one.kind === "back") hall.comesBack(judge);
          else if (one.kind === "answer") {
            if (judge !== caller) hall.goAlong(judge);
          } else if (one.kind === "mark") {
            const step = hall.step(judge, at());
            const { section, item, markedSide: side, lanes = [] } = step;
            if (!askedOfAny(hall.book, lanes, { section, item, side }).includes(one.criterion))
              continue;
            const n = [1, 2, 3].find((number) => who(number) === step.lanes?.[one.lane]) as number;
            hall.mark(judge, n, one.criterion, one.level, at());
            given.set([judge, item, side, one.criterion, one.lane].join(), one.level);
          }
        }
        for (const one of [anna, boris, caller]) hall.comesBack(one);
        for (const judge of [anna, boris]) {
          hall.goAlong(judge);
          expect(hall.asked(judge)).toEqual([]);
          for (const { section, item, markedSide: side, lanes } of waveScript(hall.book, 1))
            for (const criterion of criteria) {
              const levels = lanes?.map(
                (one) =>
                  hall.book.marks.cell(judge, one, { section, item, side, criterion })?.level,
              );
              const wanted = [0, 1, 2].map((lane) =>
                given.get([judge, item, side, criterion, lane].join()),
              );
              expect(levels).toEqual(wanted);
            }
        }
      }),
      { numRuns: 120 },
    );
  });
});
