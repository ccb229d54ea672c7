import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import { callBody } from "../../../src/belt-test/planning/call-body.ts";
import { judgeCalls } from "../../../src/belt-test/planning/judge-calls.ts";
import {
  calledIndex,
  stepsVersion,
  waveScript,
  waveSteps,
} from "../../../src/belt-test/planning/wave-script.ts";
import type { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { Step } from "../../../src/belt-test/script/script.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const [one, two, three] = ["candidate-1", "candidate-2", "candidate-3"] as CandidateId[];
const rising = { section: "blocks" as SectionId, item: "rising-block" as ItemId };
const pair = [one, two] as [CandidateId, CandidateId];

/** Two calls were said, and at the second that the first two stand in each other's place. */
function swappedAtTheSecond(by: string, more: object = {}) {
  const { plan } = aTestDay();
  const caller = aPen("caller");
  caller.hear(plan.length);
  const calls = (["left", "right"] as const).map((side) =>
    caller.write("called", { wave: 1, ...rising, side }),
  );
  const pen = aPen(by, `${by}-second`);
  pen.hear(caller.lamport);
  const swap = pen.write("lanes-swapped", { wave: 1, candidates: pair, ...more });
  return fold([...plan, ...calls, swap] as AnyEntry[]);
}
const stood = (book: ReturnType<typeof fold>) =>
  judgeCalls(book, "judge-2" as PersonId, waveScript(book, 1))
    .slice(0, 3)
    .map(({ watched }) => watched.join());
const [planned, swapped] = [[one, two, three].join(), [two, one, three].join()];

describe("the lanes of a call", () => {
  // A stranger's judge was a board behind: two lanes traded places under the finger, and the next tap fell on the other child.
  it("[S277] are those in which the children stood then: a swap that is said later changes nothing of it", () => {
    const book = swappedAtTheSecond("caller");
    expect(stood(book)).toEqual([planned, swapped, swapped]);
    expect(book.plan.lanes(1).join()).toBe(swapped);
  });

  it("[S277] are those of the swap from the call on that it names", () => {
    const book = swappedAtTheSecond("judge-1", { call: { ...rising, side: "left" } });
    expect(stood(book)).toEqual([swapped, swapped, swapped]);
    expect(stood(swappedAtTheSecond("judge-1"))).toEqual([planned, swapped, swapped]);
  });
});

describe("the call on the floor", () => {
  /** Children come one at a time; called was up to a child's turn, so many steps into it, and `said` came since. */
  function onTheFloor(
    who: CandidateId | undefined,
    into: number,
    said: (caller: Pen, steps: readonly Step[]) => object[],
    isWhole = true,
  ) {
    const rubric = aRubric();
    const sections = rubric.sections.flatMap(({ onceASection, ...its }) => {
      if (its.id !== rising.section) return [];
      const one = { ...its, marking: "single" as const };
      return isWhole && onceASection ? { ...one, onceASection } : { ...one, overall: false };
    });
    const { plan } = aTestDay({ rubric: { ...rubric, sections } });
    const caller = aPen("caller");
    caller.hear(plan.length);
    const steps = waveScript(fold(plan), 1);
    const calls = steps
      .slice(0, steps.findIndex(isTurnOf(who)) + into)
      .map((step) => caller.write("called", callBody(1, step)));
    const book = fold([...plan, ...calls, ...said(caller, steps)] as AnyEntry[]);
    const now = waveScript(book, 1);
    return { steps, now, at: calledIndex(book, 1, now) };
  }
  const isTurnOf =
    (candidate: CandidateId | undefined) =>
    ({ candidates }: Step): boolean =>
      candidates.join() === candidate;
  const leaves = (candidate: CandidateId | undefined) => (caller: Pen) => [
    caller.write("withdrawn", { candidate: candidate as CandidateId, why: "hurt" }),
  ];

  // Another child came than was called: the glass leapt to the first, and that one's turn was never called.
  it("[S282] is the child's who came, where children come one at a time and two came in each other's turn", () => {
    const { steps, now, at } = onTheFloor(one, 1, (caller) => [
      caller.write("lanes-swapped", { wave: 1, candidates: pair }),
    ]);
    expect(now[at]?.candidates).toEqual([two]);
    // Nobody is passed over: all of the other's turns come behind.
    expect(now.slice(at).filter(isTurnOf(one)).length).toBe(steps.filter(isTurnOf(one)).length);
  });

  // A child who was hurt in the own turn sent every tablet to the beginning of the wave.
  it.each<[string, (caller: Pen) => object[]]>([
    ["withdraws", leaves(two)],
    [
      "is moved to another wave",
      (caller) => [caller.write("lined-up", { wave: 1, lanes: [one, three] as CandidateId[] })],
    ],
    [
      "is excused from all of it",
      (caller) =>
        ["rising-block", "low-block"].map((item) =>
          caller.write("excused", { candidate: two, ...rising, item } as never),
        ),
    ],
  ])("[S286] is the next child's where the one on the floor %s in the own turn", (_, said) => {
    for (const into of [1, 3]) {
      const { now, at } = onTheFloor(two, into, said);
      expect(now.some(isTurnOf(two))).toBe(false);
      expect(at).toBe(now.findIndex(isTurnOf(three)));
    }
  });

  it("[S286] is the next child's where who came in another's turn is moved to another wave: that one still comes", () => {
    const { now, at } = onTheFloor(one, 1, (caller) => [
      caller.write("lanes-swapped", { wave: 1, candidates: pair }),
      caller.write("lined-up", { wave: 1, lanes: [one, three] as CandidateId[] }),
    ]);
    expect(at).toBe(now.findIndex(isTurnOf(one)));
  });

  it("[S286] is the first, or the last, where nothing else was called, or nothing is left behind it", () => {
    const first = onTheFloor(one, 1, leaves(one));
    expect(first.at).toBe(first.now.findIndex(isTurnOf(two)));
    const last = onTheFloor(three, 4, leaves(three), false);
    expect(last.at).toBe(last.now.length - 1);
    const nobody = onTheFloor(one, 1, (caller) =>
      [one, two, three].flatMap((candidate) => leaves(candidate)(caller)),
    );
    expect(nobody.at).toBe(-1);
  });

  // The caller had gone one too far, and back: the next child's first item was passed over.
  it("[S286] is the next child's from the first, also after a step back", () => {
    const { now, at } = onTheFloor(three, 1, (caller, steps) => [
      caller.write("called", callBody(1, steps.findLast(isTurnOf(two)) as Step)),
      ...leaves(two)(caller),
    ]);
    expect(at).toBe(now.findIndex(isTurnOf(three)));
  });
});

describe("what is called, and for whom", () => {
  const place = fc.nat(3);
  const words = fc.array(
    fc.oneof(
      fc.record({ swaps: fc.tuple(place, place), at: fc.nat(5), ahead: fc.nat(3) }),
      fc.record({ lines: fc.shuffledSubarray([0, 1, 2, 3]), ahead: fc.nat(3) }),
      fc.record({ calls: fc.nat(5) }),
    ),
    { maxLength: 12 },
  );

  it("[S296] is the same whatever was said of who stands where; who is in a wave is what the chief wrote last", () => {
    const { sections, ...rubric } = aRubric();
    const [first, ...others] = sections.map((one) => ({ ...one, marking: "single" as const }));
    fc.assert(
      fc.property(words, fc.boolean(), (said, isAlone) => {
        const its = isAlone && first ? { ...rubric, sections: [first, ...others] } : aRubric();
        const { plan, candidates } = aTestDay({ candidates: 4, rubric: its });
        const book = fold(plan);
        const pen = aPen("caller");
        pen.hear(plan.length);
        for (const word of said) {
          const steps = waveScript(book, 1);
          const before = stepsVersion(book);
          if ("ahead" in word) pen.hear(book.lamport + word.ahead);
          if ("lines" in word)
            book.add(
              pen.write("lined-up", {
                wave: 1,
                lanes: word.lines.map((at) => candidates[at] as CandidateId),
              }),
            );
          else if ("calls" in word) {
            const step = steps[word.calls];
            if (step) book.add(pen.write("called", callBody(1, step)));
          } else {
            const two = word.swaps.map((at) => candidates[at]) as [CandidateId, CandidateId];
            const lanes = word.swaps.map((at) => at + 1) as [number, number];
            const call = steps[word.at];
            const named = call && { section: call.section, item: call.item, side: call.side };
            const more = { ...(word.at % 2 && { lanes }), ...(word.at % 3 && { call: named }) };
            book.add(pen.write("lanes-swapped", { wave: 1, candidates: two, ...more }));
            expect(stepsVersion(book)).toBe(before);
          }
        }
        const asSaid = ({ lanes: _, called: __, ...step }: Step) =>
          JSON.stringify({ ...step, candidates: step.candidates.toSorted() });
        const script = waveScript(book, 1);
        expect(waveSteps(book, 1).map(asSaid).toSorted()).toEqual(script.map(asSaid).toSorted());
        expect(book.plan.inWave(1).toSorted()).toEqual(book.plan.lanes(1).toSorted());
      }),
    );
  });
});
