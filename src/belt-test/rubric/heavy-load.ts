import { type Finding, finding } from "./finding.ts";
import { type HeaviestStep, heaviestStep } from "./heaviest-step.ts";
import type { Rubric, Section } from "./rubric.ts";
import { OVERRIDE_ABOVE, WARN_ABOVE } from "./scoring-load.ts";

/** The lines that schools draw up: a pair, three (the most we advise), and a full row. */
const LINES = [2, 3, 6] as const;

/** Sections that ask a judge for more entries a minute than anybody can give, at the shortest line where it shows. */
export function heavyLoad(rubric: Rubric): Finding[] {
  return rubric.sections.flatMap((section, at) => {
    const worst = heaviestOf(rubric, section);
    if (!worst) return [];
    const { step, line } = worst;
    const place = section.items.findIndex(({ id }) => id === step.item);
    return [
      finding(
        step.load.advice === "override" ? "LOAD_TOO_HEAVY" : "LOAD_HEAVY",
        ["sections", at, "items", place, "criteria"],
        {
          section: section.title,
          item: section.items[place]?.title ?? step.item,
          criteria: step.criteria.length,
          candidates: section.marking === "single" ? 1 : line,
          demand: Math.round(step.load.demandPerMinute * 10) / 10,
          limit: step.load.advice === "override" ? OVERRIDE_ABOVE : WARN_ABOVE,
          carries: step.carries,
        },
      ),
    ];
  });
}

function heaviestOf(
  rubric: Rubric,
  section: Section,
): { step: HeaviestStep; line: number } | undefined {
  const alone = { ...rubric, sections: [section] };
  const steps = LINES.flatMap((line) => {
    const step = heaviestStep(alone, line);
    return step ? [{ step, line }] : [];
  });
  return (
    steps.find(({ step }) => step.load.advice === "override") ??
    steps.find(({ step }) => step.load.advice === "warn")
  );
}
