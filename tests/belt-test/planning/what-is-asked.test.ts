import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import { whatIsAsked } from "../../../src/belt-test/planning/what-is-asked.ts";
import { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const rising = {
  section: "blocks" as SectionId,
  item: "rising-block" as ItemId,
  marking: "line",
} as const;
const [one, two, three] = ["candidate-1", "candidate-2", "candidate-3"] as CandidateId[];

/** The test day's rubric with cues; and the next one, in which another word stands for one level of *target*. */
function twoRanks() {
  const base = aRubric();
  const [blocks, ...others] = base.sections;
  const first = Rubric.parse({
    ...base,
    sections: [
      {
        ...blocks,
        items: blocks?.items.map((item) => ({ ...item, cues: [`${item.title}: elbow in`] })),
      },
      ...others,
    ],
  });
  const second = Rubric.parse({
    ...first,
    id: "yellow-to-orange-junior",
    criteria: first.criteria.map((its) =>
      its.id === "target" ? { ...its, descriptors: ["a", "b", "c", "d"] } : its,
    ),
  });
  const day = aTestDay({ rubric: first });
  const more = [
    day.chief.write("frozen", { rubric: second }),
    day.chief.write("entered", { candidate: three as CandidateId, number: 3, rubric: second.id }),
  ];
  return fold([...day.plan, ...more]);
}

describe("what is asked", () => {
  it("[T123] is what the rubric says of the call, in its own words and order, and nothing of what is not marked there", () => {
    const { rubric, plan, candidates } = aTestDay();
    const [asked, ...others] = whatIsAsked(fold(plan), candidates, rising);
    expect(others).toEqual([]);
    expect(asked?.candidates).toEqual(candidates);
    expect(asked?.criteria.map(({ title }) => title)).toEqual(["Chamber", "Extension", "Target"]);
    expect(asked?.criteria[0]?.descriptors).toEqual(rubric.criteria[1]?.descriptors);
    const close = { ...rising, item: null };
    expect(whatIsAsked(fold(plan), candidates, close)[0]?.criteria.map(({ id }) => id)).toEqual([
      "stance",
      "spirit",
    ]);
  });

  it("[T123] is said apart for candidates of whom different things are asked, and once for all others", () => {
    const asked = whatIsAsked(twoRanks(), [one, two, three] as CandidateId[], rising);
    expect(asked.map(({ candidates }) => candidates)).toEqual([[one, two], [three]]);
    expect(asked[0]?.items.map(({ cues }) => cues)).toEqual([["Rising block: elbow in"]]);
    expect(asked[1]?.criteria.at(-1)?.descriptors).toEqual(["a", "b", "c", "d"]);
  });

  it("[T123] is nothing where the rubric says nothing: a checklist without cues, an item that is not in it", () => {
    const { plan, candidates } = aTestDay();
    const list = { section: "etiquette" as SectionId, item: null, marking: "checklist" } as const;
    expect(whatIsAsked(fold(plan), candidates, list)).toEqual([]);
    expect(whatIsAsked(fold(plan), candidates, { ...rising, item: "none" as ItemId })).toEqual([]);
  });
});
