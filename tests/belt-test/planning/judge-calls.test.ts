import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { callBody } from "../../../src/belt-test/planning/call-body.ts";
import { judgeCalls } from "../../../src/belt-test/planning/judge-calls.ts";
import { missedCalls } from "../../../src/belt-test/planning/missed-calls.ts";
import { calledIndex, waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import type { Item, Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { assignedPlaces } from "../../../src/belt-test/scorebook/assigned-places.ts";
import { isCallDone } from "../../../src/belt-test/scorebook/call-done.ts";
import {
  askedCells,
  blankCells,
  lockBody,
  missingOveralls,
  workOf,
} from "../../../src/belt-test/scorebook/judge-view.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import { swapOf } from "../../../src/belt-test/scorebook/swapped-lanes.ts";
import { markedAlike, stepKey } from "../../../src/belt-test/script/script.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { CoverageBoard } from "../../../src/line/coverage-board.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";

const person = "judge-1" as PersonId;
const other = "judge-2" as PersonId;
const asJudge = (who: PersonId) => ({ person: who, roles: ["judge"] as const });

const sidesOf = fc.constantFrom("one" as const, "each" as const, "together" as const);
const anItem = fc.record({
  has: fc.boolean(),
  sides: sidesOf,
  criteria: fc.subarray(["chamber", "target"], { minLength: 1 }),
});
const aSection = fc.record({
  marking: fc.constantFrom(
    "line" as const,
    "line" as const,
    "single" as const,
    "checklist" as const,
  ),
  overall: fc.boolean(),
  isClosed: fc.boolean(),
  items: fc.array(anItem, { minLength: 3, maxLength: 3 }),
});
const aScale = fc.integer({ min: 2, max: 5 }).chain((levels) =>
  fc.record({
    levels: fc.constant(levels),
    meets: fc.integer({ min: 1, max: levels }),
    words: fc.constantFrom("a", "b"),
  }),
);
const someRubric = fc.record({
  scale: aScale,
  sections: fc.array(aSection, { minLength: 2, maxLength: 2 }),
});
type Drawn = typeof someRubric extends fc.Arbitrary<infer One> ? One : never;

/** A rubric over ids that all of them share. */
function made({ scale, sections }: Drawn, index: number): Rubric {
  return aRubric({
    id: `rank-${index}`,
    scale: {
      levels: Array.from({ length: scale.levels }, (_, at) => ({
        title: `${scale.words}${at + 1 - scale.meets}`,
        points: (100 * at) / (scale.levels - 1),
      })),
      meetsLevel: scale.meets,
    },
    criteria: ["chamber", "target", "spirit"].map((id) => ({
      id,
      title: id,
      weight: 1,
      descriptors: Array.from({ length: scale.levels }, (_, at) => `${id} ${at}`),
    })),
    sections: sections.map(({ marking, overall, isClosed, items }, at) => {
      const isList = marking === "checklist";
      const held = items.some(({ has }) => has)
        ? items
        : items.map((one) => ({ ...one, has: true }));
      return {
        id: `section-${at}`,
        title: `Section ${at}`,
        weight: 1,
        marking,
        overall,
        ...(isClosed && !isList ? { onceASection: { criteria: ["spirit"] } } : {}),
        items: held.flatMap(({ has, sides, criteria }, number) =>
          has
            ? [
                {
                  id: `item-${number}`,
                  title: `Item ${number}`,
                  group: "block" as const,
                  ...(isList ? {} : { sides, criteria }),
                },
              ]
            : [],
        ),
      };
    }),
  });
}

/** One wave of children of these rubrics, each watched by the first judge, every other one by a second too. */
function aWave(rubrics: readonly Rubric[], of: readonly number[], excused: readonly number[] = []) {
  const chief = aPen("chief");
  const lanes = of.map((_, index) => `candidate-${index + 1}` as CandidateId);
  const rubricAt = (index: number) => rubrics[(of[index] ?? 0) % rubrics.length] as Rubric;
  const plan = [
    chief.write("opened", { title: "Mixed", date: "2026-06-06", rules: 3 }),
    ...rubrics.map((rubric) => chief.write("frozen", { rubric })),
    ...[person, other].map((one) => chief.write("seated", { person: one, roles: ["judge"] })),
    ...lanes.map((candidate, index) =>
      chief.write("entered", { candidate, number: index + 1, rubric: rubricAt(index).id }),
    ),
    chief.write("lined-up", { wave: 1, lanes }),
    ...[person, other].flatMap((judge) =>
      ["section-0", "section-1"].map((section) =>
        chief.write("assigned", {
          judge,
          section: section as SectionId,
          candidates: judge === person ? lanes : lanes.filter((_, index) => index % 2 === 1),
          wave: 1,
        }),
      ),
    ),
    ...excused.flatMap((index) => {
      const candidate = lanes[index];
      return candidate
        ? [
            chief.write("excused", {
              candidate,
              section: "section-0" as SectionId,
              item: "item-0" as ItemId,
              why: "age",
            }),
          ]
        : [];
    }),
    ...lanes.map((candidate) => chief.write("checked-in", { candidate })),
    chief.write("started", {}),
  ] as AnyEntry[];
  return { chief, lanes, rubricAt, plan };
}

const titleAt = (book: Scorebook, candidate: CandidateId, level: number) => {
  const { levels, meetsLevel } = (book.plan.rubricOf(candidate) as Rubric).scale;
  return `${levels[level - 1]?.title} of ${levels.length}, ${level - meetsLevel}`;
};

/** A judge taps something in every cell that a board offers, by the words of that board. @returns what the hub would not take */
function tapsAll(
  book: Scorebook,
  judge: PersonId,
  at: number,
  pen: ReturnType<typeof aPen>,
  pick: (most: number) => number,
  heard: (entry: AnyEntry) => void,
): string[] {
  const odd: string[] = [];
  const write = (entry: AnyEntry) => {
    const fault = refusal(book, asJudge(judge), entry);
    if (fault) odd.push(`${fault.code} ${JSON.stringify(entry.body)}`);
    book.add(entry);
    heard(entry);
  };
  const steps = waveScript(book, 1);
  for (const { step, part, watched } of judgeCalls(book, judge, steps).filter(
    ({ index }) => index === at,
  )) {
    if (!step.asked) continue;
    if (part === "overall") {
      for (const candidate of missingOveralls(book, judge, step))
        write(pen.write("overall", { candidate, section: step.section, judgement: 3 }) as AnyEntry);
      continue;
    }
    const [first] = watched;
    for (const { candidate, item, criterion } of askedCells(book, judge, step)) {
      if (!watched.includes(candidate)) odd.push(`${candidate} is not on the board`);
      // As the board has it: the scale of whoever stands first on it.
      const shown = (first && book.plan.rubricOf(first)?.scale.levels.length) ?? 0;
      const isList = step.marking === "checklist";
      const level = 1 + pick(isList ? 2 : shown);
      if (!isList && titleAt(book, candidate, level) !== titleAt(book, first as CandidateId, level))
        odd.push(`${titleAt(book, first as CandidateId, level)} is another level of ${candidate}`);
      write(
        pen.write("mark", {
          section: step.section,
          item,
          side: step.markedSide,
          cells: [{ candidate, criterion, level, how: "tapped" }],
        }) as AnyEntry,
      );
    }
  }
  return odd;
}

const waves = fc.record({
  rubrics: fc.array(someRubric, { minLength: 1, maxLength: 3 }),
  of: fc.array(fc.nat(2), { minLength: 1, maxLength: 5 }),
  excused: fc.uniqueArray(fc.nat(4), { maxLength: 2 }),
  taps: fc.infiniteStream(fc.nat(1000)),
});

describe("a wave of several ranks", () => {
  it("[S307] whoever taps what each board offers, step by step, has filled every cell of every child under its own place and level, and locks", () => {
    fc.assert(
      fc.property(waves, ({ rubrics: drawn, of, excused, taps }) => {
        const rubrics = drawn.map(made);
        const { plan } = aWave(rubrics, of, excused);
        const book = fold(plan);
        const coverage = new CoverageBoard();
        const told = new Map<string, boolean>();
        const heard = (entry: AnyEntry) => {
          for (const { done, ...call } of coverage.note(book, entry).calls)
            told.set(JSON.stringify(call), done);
        };
        const judges = [person, other].map((judge) => ({ judge, pen: aPen(judge) }));
        const caller = aPen("caller");
        const pick = (most: number) => (taps.next().value as number) % most;
        for (const { pen } of [...judges, { pen: caller }]) pen.hear(book.lamport);
        const steps = waveScript(book, 1);
        expect(new Set(steps.map(stepKey)).size).toBe(steps.length);
        for (const [at, step] of steps.entries()) {
          book.add(caller.write("called", callBody(1, step)) as AnyEntry);
          expect(calledIndex(book, 1, waveScript(book, 1))).toBe(at);
          for (const { judge, pen } of judges) {
            pen.hear(book.lamport);
            const calls = judgeCalls(book, judge, waveScript(book, 1));
            expect(new Set(calls.map(({ key }) => key)).size).toBe(calls.length);
            expect(tapsAll(book, judge, at, pen, pick, heard)).toEqual([]);
            if (step.asked) expect(isCallDone(book, judge, step)).toBe(true);
          }
        }
        expect(missedCalls(book, 1)).toEqual([]);
        for (const { judge, pen } of judges) {
          for (const candidate of book.plan.lanes(1))
            for (const { id } of book.plan.rubricOf(candidate)?.sections ?? [])
              for (const place of assignedPlaces(book, judge, candidate, id))
                expect([place, book.marks.cell(judge, candidate, place)?.level]).toEqual([
                  place,
                  expect.any(Number),
                ]);
          for (const { section, blank, overallsMissing, unlocked } of workOf(book, judge, steps)) {
            expect([blank, overallsMissing]).toEqual([0, 0]);
            for (const candidate of unlocked) {
              const lock = pen.write(
                "locked",
                lockBody(book, judge, section, candidate),
              ) as AnyEntry;
              expect(refusal(book, asJudge(judge), lock)).toBeNull();
              book.add(lock);
            }
          }
          // Of every call that anything was asked of this judge at, the hub has told that they are done.
          for (const step of steps) {
            const now = markedAlike(step).filter(({ asked }) => asked);
            if (now.every((part) => askedCells(book, judge, part).length === 0)) continue;
            const { section, item, markedSide: side, marking, candidates } = step;
            const alone = marking === "single" && item !== null ? candidates[0] : null;
            expect(told.get(JSON.stringify({ judge, wave: 1, section, item, side, alone }))).toBe(
              true,
            );
          }
        }
      }),
      { numRuns: 150 },
    );
  });

  const scales: Drawn["scale"][] = [
    { levels: 4, meets: 3, words: "a" },
    { levels: 3, meets: 2, words: "a" },
    { levels: 4, meets: 2, words: "a" },
    { levels: 4, meets: 3, words: "b" },
  ];
  const plain = (scale: Drawn["scale"], sides: Item["sides"] = "one"): Drawn => ({
    scale,
    sections: [0, 1].map(() => ({
      marking: "line" as const,
      overall: true,
      isClosed: true,
      items: [0, 1, 2].map(() => ({ has: true, sides, criteria: ["chamber", "target"] })),
    })),
  });

  it("[S305] no board holds children whose levels are others, or bear other words; overall judgements stay together, and keys of a wave of one scale as they were", () => {
    const { plan, lanes } = aWave(
      scales.map((scale, index) => made(plain(scale), index)),
      [0, 1, 2, 3, 0],
    );
    const book = fold(plan);
    const steps = waveScript(book, 1);
    const calls = judgeCalls(book, person, steps);
    const [a, b, c, d, e] = lanes;
    expect(calls.filter(({ index }) => index === 0).map(({ watched }) => watched)).toEqual([
      [a, e],
      [b],
      [c],
      [d],
    ]);
    const close = calls.filter(({ step }) => step.section === "section-0" && step.item === null);
    expect(close.map(({ part, watched }) => [part, watched.length])).toEqual([
      ["cells", 2],
      ["cells", 1],
      ["cells", 1],
      ["cells", 1],
      ["overall", 5],
    ]);
    for (const { all } of calls) expect(all).toEqual(lanes);
    // Who changes lanes changes no board.
    const swap = aPen("chief").write("lanes-swapped", {
      wave: 1,
      ...swapOf(lanes, [a, b] as never),
    }) as AnyEntry;
    const swapped = judgeCalls(fold([...plan, swap]), person, waveScript(fold([...plan, swap]), 1));
    expect(swapped.map(({ key }) => key).sort()).toEqual(calls.map(({ key }) => key).sort());
    const one = fold(aWave([made(plain(scales[0] as never), 0)], [0, 0]).plan);
    const keys = judgeCalls(one, person, waveScript(one, 1)).map(({ key }) => key);
    expect(keys.slice(0, 5)).toEqual([
      "section-0/item-0/",
      "section-0/item-1/",
      "section-0/item-2/",
      "section-0//",
      "section-0//#overall",
    ]);
  });

  it("[S307] left and right are called where anybody's rubric says so; whoever is marked once is asked at the right", () => {
    const [one, each, together] = (["one", "each", "together"] as const).map((sides, index) =>
      made(plain(scales[0] as never, sides), index),
    ) as [Rubric, Rubric, Rubric];
    const ways = (rubrics: readonly Rubric[]) => {
      const book = fold(
        aWave(
          rubrics,
          rubrics.map((_, index) => index),
        ).plan,
      );
      return judgeCalls(book, person, waveScript(book, 1))
        .filter(({ step }) => step.item === "item-0" && step.section === "section-0")
        .map(({ watched, step: { side, markedSide, asked } }) => [
          side,
          watched.length,
          markedSide,
          asked,
        ]);
    };
    for (const rubrics of [
      [one, together],
      [together, one],
    ])
      expect(ways(rubrics)).toEqual([
        ["left", 2, null, false],
        ["right", 2, null, true],
      ]);
    expect(ways([one, each, together])).toEqual([
      ["left", 1, "left", true],
      ["left", 2, null, false],
      ["right", 2, null, true],
      ["right", 1, "right", true],
    ]);
    expect(ways([each, one])).toEqual([
      ["left", 1, "left", true],
      ["left", 1, null, false],
      ["right", 1, "right", true],
      ["right", 1, null, true],
    ]);
  });

  it("[S305] marks move with no child to another to whom they would mean something else", async () => {
    const { strayLanes } = await import("../../../src/belt-test/scorebook/stray-lanes.ts");
    for (const isMixed of [false, true]) {
      const { plan, lanes } = aWave(
        [made(plain(scales[0] as never), 0), made(plain(scales[isMixed ? 1 : 3] as never), 1)],
        [0, 1],
      );
      const [a, b] = lanes as [CandidateId, CandidateId];
      const pen = aPen(person);
      pen.hear(plan.length);
      const marks = [a, b].map((candidate, lane) =>
        pen.write("mark", {
          section: "section-0" as SectionId,
          item: "item-0" as ItemId,
          side: null,
          lane: lane + 1,
          cells: [
            { candidate, criterion: "chamber" as CriterionId, level: 1 + lane, how: "tapped" },
          ],
        }),
      ) as AnyEntry[];
      const caller = aPen("caller");
      caller.hear(plan.length);
      const called = caller.write("called", {
        wave: 1,
        section: "section-0" as SectionId,
        item: "item-0" as ItemId,
        side: null,
      });
      const chief = aPen("chief", "chief-two");
      chief.hear(plan.length + 5);
      const swap = chief.write("lanes-swapped", { wave: 1, ...swapOf(lanes, [a, b]) });
      const book = fold([...plan, called, ...marks, swap] as AnyEntry[]);
      const [asked] = strayLanes(book, person, 1, waveScript(book, 1));
      expect(asked?.marks.bodies.length).toBe(isMixed ? 0 : 2);
      expect(asked?.marks.stay).toEqual(isMixed ? ["chamber"] : []);
      expect(blankCells(book, person, waveScript(book, 1)[0] as never)).toHaveLength(2);
    }
  });
});
