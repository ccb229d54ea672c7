import type { PersonId } from "../../book/identity.ts";
import { composites } from "../../ratings/severity/composites.ts";
import type { JudgeScores } from "../../ratings/severity/judge-scores.ts";
import { missingLinks } from "../../ratings/severity/missing-links.ts";
import { type Outlook, outlook } from "../../ratings/severity/outlook.ts";
import {
  type KnownSeverity,
  type NotEstimated,
  type Severities,
  severities,
} from "../../ratings/severity/severities.ts";
import type { CandidateId } from "../identity.ts";
import { type MarkedCandidate, panelMarks } from "./panel-marks.ts";
import { scaleStep } from "./scale-step.ts";

/** How severe the judges of a whole test are, and what can be done with it. */
export interface PanelSeverity {
  /** Everybody who marked, by id; severities and scores speak of them by their place here. */
  judges: readonly PersonId[];
  /** Everybody whose marks are in it, in the order they were given. */
  candidates: readonly CandidateId[];
  scores: JudgeScores;
  found: Severities | NotEstimated;
  outlook: Outlook;
  /** The fewest further pairs that would make judges comparable; none where they are. */
  links: readonly { judge: PersonId; candidate: CandidateId }[];
}

/**
 * The severities of a test's judges, from the marks that stood at lock in sections that are open.
 *
 * @param given everybody with such marks; in levels of their rubrics' scales. @param known what was measured of a judge beforehand (anchors, earlier tests), in levels.
 * @returns severities in levels, or why there are none; nothing is adjusted here. Nobody's marks at all is "one-judge".
 * @throws RangeError when a candidate comes twice or a judge marked a cell twice.
 *
 * Source: `severities`, `composites`, `missingLinks`; scales: `scaleStep`.
 */
export function panelSeverity(
  given: readonly MarkedCandidate[],
  known: ReadonlyMap<PersonId, KnownSeverity> = new Map(),
): PanelSeverity {
  const { cells, judges, candidates } = panelMarks(given);
  const scores = composites(cells);
  const beforehand = judges.map((judge) => known.get(judge) ?? null);
  const found = severities(scores, { known: beforehand, level: scaleStep(given) });
  return {
    judges,
    candidates,
    scores,
    found,
    outlook: outlook(scores, beforehand),
    links: missingLinks(scores).map(({ judge, candidate }) => ({
      judge: judges[judge] as PersonId,
      candidate: candidates[candidate] as CandidateId,
    })),
  };
}
