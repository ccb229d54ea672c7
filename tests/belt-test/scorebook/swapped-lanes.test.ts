import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { AnyEntry, EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const [one, two, three] = ["candidate-1", "candidate-2", "candidate-3"] as [
  CandidateId,
  CandidateId,
  CandidateId,
];
type Said = readonly [who: string, pair: [CandidateId, CandidateId], left?: CandidateId];

/** What was said in turn, each before anything of the others was heard where `lamports` are alike; a list of lanes is the chief's. */
function lanesAfter(...said: (Said | readonly CandidateId[])[]) {
  const { plan } = aTestDay();
  let lamport = plan.length;
  const entries = said.map((words) => {
    const isSwap = Array.isArray(words[1]);
    const pen = aPen(isSwap ? (words[0] as string) : "chief", `${words[0]}-${lamport}`);
    pen.hear(lamport++);
    if (!isSwap) return pen.write("lined-up", { wave: 1, lanes: [...words] as CandidateId[] });
    const [, candidates, left] = words as Said;
    const body: EntryBody<"lanes-swapped"> = { wave: 1, candidates, ...(left && { left }) };
    return pen.write("lanes-swapped", body);
  });
  const inTurn = fold([...plan, ...entries] as AnyEntry[]).plan;
  const backwards = fold([...plan, ...entries.toReversed()] as AnyEntry[]).plan;
  expect(backwards.lanes(1)).toEqual(inTurn.lanes(1));
  return inTurn.lanes(1);
}

describe("two children who change places", () => {
  it("[S284] change them once, however often it is said how they stand", () => {
    expect(lanesAfter(["a", [one, two], two])).toEqual([two, one, three]);
    expect(lanesAfter(["a", [one, two], two], ["b", [two, one], two])).toEqual([two, one, three]);
    expect(
      lanesAfter(["a", [one, two], two], ["b", [one, two], two], ["c", [one, two], one]),
    ).toEqual([one, two, three]);
  });

  it("[S284] change them each time that it is said otherwise, or since one of them stood elsewhere", () => {
    expect(
      lanesAfter(["a", [one, two], two], ["a", [one, two], one], ["b", [one, two], two]),
    ).toEqual([two, one, three]);
    // Two who say different things at once: both are done, in turn.
    expect(lanesAfter(["a", [one, three], three], ["b", [one, two], two])).toEqual([
      three,
      one,
      two,
    ]);
  });

  it("[S284] stand as the chief wrote, whoever says the same, and change from there when it is said otherwise", () => {
    expect(lanesAfter([two, one, three], ["a", [one, two], two])).toEqual([two, one, three]);
    expect(lanesAfter(["a", [one, two], two], [one, two, three], ["b", [one, two], two])).toEqual([
      two,
      one,
      three,
    ]);
  });

  it("[S284] change whenever an app of before says so", () => {
    expect(lanesAfter(["a", [one, two]], ["b", [one, two]])).toEqual([one, two, three]);
    expect(lanesAfter(["a", [one, two]], ["b", [one, two], two])).toEqual([two, one, three]);
    expect(lanesAfter(["a", [one, two], "nobody" as CandidateId])).toEqual([two, one, three]);
  });
});
