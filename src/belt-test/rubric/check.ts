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
export const rubricFindings = (json: unknown, library?: FaultLibrary): Finding[] =>
  checkedRubric(json, library).findings;

/** What is found, as `rubricFindings` says it, and the rubric where it is sound: the one way from a file to a rubric to test by. */
export function checkedRubric(
  json: unknown,
  library?: FaultLibrary,
): { findings: Finding[]; rubric: Rubric | undefined } {
  const read = Rubric.safeParse(json);
  const misfits = schemaFindings(json, read);
  if (!read.success || misfits.length > 0) return { findings: misfits, rubric: undefined };
  const rubric = read.data;
  const faults = contradictions(rubric, library);
  if (faults.length > 0) return { findings: faults, rubric: undefined };
  const findings = [...idleWeights(rubric), ...oddRules(rubric, library), ...heavyLoad(rubric)];
  return { findings, rubric: isSound(findings) ? rubric : undefined };
}

/** Whether a test may be run with it: warnings do not forbid it. */
export const isSound = (findings: readonly Finding[]): boolean =>
  findings.every(({ severity }) => severity === "warning");
