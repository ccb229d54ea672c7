import { contradictions } from "./contradictions.ts";
import type { FaultLibrary } from "./fault-library.ts";
import type { Finding } from "./finding.ts";
import { heavyLoad } from "./heavy-load.ts";
import { idleWeights } from "./idle-weights.ts";
import { oddRules } from "./odd-rules.ts";
import { Rubric } from "./rubric.ts";
import { schemaFindings } from "./schema-findings.ts";

/**
 * What is wrong with a rubric, and what is valid and probably not meant?
 *
 * @param json what the file held. Anything may come here: nonsense is answered, never thrown at.
 * @param library the faults that its items may name; without one their names are not looked at.
 * @returns faults first. While the file does not fit the schema, only that is said; while it contradicts itself, only
 *   that, since a warning reckoned from contradictions would mislead. None: the rubric is sound.
 *
 * It cannot know what a school means: a strange syllabus that adds up has no finding.
 */
export function rubricFindings(json: unknown, library?: FaultLibrary): Finding[] {
  const misfits = schemaFindings(json);
  if (misfits.length > 0) return misfits;
  const rubric = Rubric.parse(json);
  const faults = contradictions(rubric, library);
  if (faults.length > 0) return faults;
  return [...idleWeights(rubric), ...oddRules(rubric, library), ...heavyLoad(rubric)];
}

/** Whether a test may be run with it: warnings do not forbid it. */
export const isSound = (findings: readonly Finding[]): boolean =>
  findings.every(({ severity }) => severity === "warning");
