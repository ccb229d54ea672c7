import { type Finding, finding } from "./finding.ts";
import { criteriaAt } from "./lookup.ts";
import type { Rubric } from "./rubric.ts";

/** Below this part of its whole, a weight changes no verdict that anybody could see: our choice. */
const LEAST_SHARE = 0.01;

/** Weights that do not matter: something is written down as counting, and counts for nothing. */
export function idleWeights(rubric: Rubric): Finding[] {
  return [...ofCriteria(rubric), ...ofSections(rubric), ...ofParts(rubric)];
}

function ofCriteria(rubric: Rubric): Finding[] {
  const places = rubric.sections.flatMap((section) =>
    [...section.items, null].map((item) => criteriaAt(section, item)),
  );
  const isWeighted = rubric.criteria.some(({ weight }) => weight !== rubric.criteria[0]?.weight);
  return rubric.criteria.flatMap(({ id, title }, at) => {
    const asked = places.filter((criteria) => criteria.includes(id));
    if (asked.length === 0)
      return [finding("CRITERION_UNASKED", ["criteria", at], { criterion: title })];
    const isAlone = asked.every((criteria) => criteria.length === 1);
    return isWeighted && isAlone
      ? [finding("CRITERION_WEIGHT_IDLE", ["criteria", at, "weight"], { criterion: title })]
      : [];
  });
}

function ofSections({ sections }: Rubric): Finding[] {
  const whole = sum(sections.map(({ weight }) => weight));
  return sections.flatMap(({ title, weight }, at) =>
    weight / whole < LEAST_SHARE
      ? [
          finding("SECTION_WEIGHTLESS", ["sections", at, "weight"], {
            section: title,
            weight,
            whole,
          }),
        ]
      : [],
  );
}

function ofParts({ sections }: Rubric): Finding[] {
  return sections.flatMap((section, at) => {
    const path = ["sections", at];
    const { items, onceASection } = section;
    const whole = sum(items.map(({ weight }) => weight)) + (onceASection?.weight ?? 0);
    const light = (weight: number) => weight / whole < LEAST_SHARE;
    const found = items.flatMap(({ title, weight }, place) =>
      light(weight)
        ? [
            finding("PART_WEIGHTLESS", [...path, "items", place, "weight"], {
              part: title,
              section: section.title,
              weight,
              whole,
            }),
          ]
        : [],
    );
    if (onceASection && light(onceASection.weight))
      found.push(
        finding("PART_WEIGHTLESS", [...path, "onceASection", "weight"], {
          part: onceASection.criteria.join(", "),
          section: section.title,
          weight: onceASection.weight,
          whole,
        }),
      );
    return found;
  });
}

const sum = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0);
