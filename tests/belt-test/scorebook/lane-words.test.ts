import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const [one, two, three] = ["candidate-1", "candidate-2", "candidate-3"] as [
  CandidateId,
  CandidateId,
  CandidateId,
];
type Swap = Pick<EntryBody<"lanes-swapped">, "candidates" | "lanes">;
const says = (candidates: [CandidateId, CandidateId], ...lanes: [number, number] | []): Swap => ({
  candidates,
  ...(lanes.length === 2 && { lanes }),
});

/** Lanes after this was said in turn, whatever order it comes in; a list of children is the chief's. */
function lanesAfter(...said: (Swap | readonly CandidateId[])[]) {
  const { plan } = aTestDay({ candidates: 3 });
  const entries = said.map((words, at) => {
    const pen = aPen("candidates" in words ? `judge-${at}` : "chief", `tablet-${at}`);
    pen.hear(plan.length + at);
    return "candidates" in words
      ? pen.write("lanes-swapped", { wave: 1, ...words })
      : pen.write("lined-up", { wave: 1, lanes: [...words] });
  });
  const inTurn = fold([...plan, ...entries] as AnyEntry[]).plan;
  const backwards = fold([...plan, ...entries.toReversed()] as AnyEntry[]).plan;
  expect(backwards.lanes(1)).toEqual(inTurn.lanes(1));
  return inTurn.lanes(1);
}
const swapped = says([one, two], 2, 1);
const back = says([two, one], 2, 1);

describe("who stands in which lane", () => {
  it("[S284] is as it was said last, however often it is said", () => {
    expect(lanesAfter(swapped)).toEqual([two, one, three]);
    expect(lanesAfter(swapped, says([two, one], 1, 2), swapped)).toEqual([two, one, three]);
    expect(lanesAfter(swapped, swapped, back)).toEqual([one, two, three]);
    expect(lanesAfter(swapped, back, back, swapped)).toEqual([two, one, three]);
  });

  it("[S284] is the chief's word too: whoever says the same changes nothing, and from there it is said otherwise", () => {
    expect(lanesAfter([two, one, three], swapped)).toEqual([two, one, three]);
    expect(lanesAfter(swapped, [one, two, three], swapped)).toEqual([two, one, three]);
    expect(lanesAfter(swapped, [one, two, three])).toEqual([one, two, three]);
  });

  // A late child was added by a chief who had not heard of the swap: it was gone from everybody's lanes.
  it("[S284] stays as it was said where the chief only lets children come or go", () => {
    const four = "candidate-4" as CandidateId;
    expect(lanesAfter(swapped, [one, two, three, four])).toEqual([two, one, three, four]);
    expect(lanesAfter(swapped, [four, one, two, three])).toEqual([four, two, one, three]);
    expect(lanesAfter(swapped, [two, one, three, four])).toEqual([two, one, three, four]);
    expect(lanesAfter(swapped, [two, three])).toEqual([two, three]);
    expect(lanesAfter(swapped, [one, two])).toEqual([two, one]);
    expect(lanesAfter(swapped, [three, two, four])).toEqual([three, two, four]);
  });

  it("[S284] is changed by an app of before whenever it says so, and by nobody in a lane that is not there, or who is not", () => {
    expect(lanesAfter(says([one, two]), says([one, two]))).toEqual([one, two, three]);
    expect(lanesAfter(says([one, two]), swapped)).toEqual([two, one, three]);
    expect(lanesAfter(says([one, two], 9, 0))).toEqual([one, two, three]);
    expect(lanesAfter([one, three], swapped)).toEqual([one, three]);
  });
});
