import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import { judgeCalls } from "../../../src/belt-test/planning/judge-calls.ts";
import { callBody, calledIndex, waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import type { AnyEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { Step } from "../../../src/belt-test/script/script.ts";
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
const stood = (book: ReturnType<typeof fold>, judge?: string) =>
  judgeCalls(book, "judge-2" as PersonId, waveScript(book, 1, judge as PersonId | undefined))
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

  it("[S277] are those of the swap from the call on that it names; whoever said it as a judge sees it everywhere", () => {
    const book = swappedAtTheSecond("judge-1", { call: { ...rising, side: "left" } });
    expect(stood(book)).toEqual([swapped, swapped, swapped]);
    const other = swappedAtTheSecond("judge-1");
    expect(stood(other)).toEqual([planned, swapped, swapped]);
    expect(stood(other, "judge-1")).toEqual([swapped, swapped, swapped]);
  });
});

describe("the call on the floor", () => {
  // Another child came than was called: the glass leapt to the first, and that one's turn was never called.
  it("[S282] is the child's who came, where children come one at a time and two came in each other's turn", () => {
    const rubric = aRubric();
    const single = {
      ...rubric,
      sections: rubric.sections.map((its) =>
        its.id === rising.section ? { ...its, marking: "single" as const } : its,
      ),
    };
    const { plan } = aTestDay({ rubric: single });
    const caller = aPen("caller");
    caller.hear(plan.length);
    const steps = waveScript(fold(plan), 1);
    const first = steps.findIndex(({ candidates }) => candidates.join() === one);
    const called = caller.write("called", callBody(1, steps[first] as Step));
    const swap = caller.write("lanes-swapped", { wave: 1, candidates: pair });
    const book = fold([...plan, called, swap] as AnyEntry[]);
    const now = waveScript(book, 1);
    const at = calledIndex(book, 1, now);
    expect(now[at]?.candidates).toEqual([two]);
    // Nobody is passed over: all of the other's turns come behind.
    expect(now.slice(at).filter(({ candidates }) => candidates.join() === one).length).toBe(
      steps.filter(({ candidates }) => candidates.join() === one).length,
    );
  });
});
