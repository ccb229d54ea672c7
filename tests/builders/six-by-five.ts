import { aRubric } from "./a-rubric.ts";
import { aTestDay } from "./a-test-day.ts";

/** Six candidates and five criteria: the judge's screen at its largest. */
export const sixByFive = () => {
  const rubric = aRubric();
  const [blocks] = rubric.sections;
  const items = [
    {
      id: "combination-1",
      title: "Combination",
      group: "combination",
      criteria: rubric.criteria.map(({ id }) => id),
    },
  ];
  return aTestDay({
    judges: 1,
    candidates: 6,
    rubric: aRubric({
      sections: [{ ...blocks, onceASection: undefined, overall: false, items }] as never,
    }),
  });
};
