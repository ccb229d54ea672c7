import type { CandidateId, PersonId } from "../identity.ts";
import type { MarkedCandidate } from "../panel/severity/panel-marks.ts";
import { DONE } from "../rubric/rubric.ts";
import { placeKey } from "../scorebook/cell.ts";
import { normalExceededBy } from "../statistics/quantiles.ts";
import { type OddEffect, oddEffects } from "./odd-effects.ts";
import type { PanelSeverity } from "./panel-severity.ts";

/** What can be said of one judge in one word, before any number. */
type JudgeStanding =
  /** Too few candidates shared with others, or nobody to compare with. */
  | "too-little"
  /** The same mark nearly everywhere: nobody is told from anybody. */
  | "flat"
  | "severe"
  | "lenient"
  /** No difference that stands out of what chance makes. */
  | "like-others";

export interface JudgeReport {
  judge: PersonId;
  /** Candidates and cells this judge marked. */
  candidates: number;
  marks: number;
  /** Share of marks that “rest meets” confirmed, and of the mark this judge gave most (lists aside); 0–1. */
  restShare: number;
  sameShare: number;
  /** In levels, positive = severe; null where it cannot be told. */
  severity: { value: number; se: number } | null;
  standing: JudgeStanding;
  /** What else ordinary judges do not show; the gravest first. */
  odd: readonly OddEffect[];
  /** Wave by wave: how much lower than the others this judge marked the same cells, in levels. */
  drift: readonly { wave: number; apart: number; cells: number }[];
}

/** A judge needs this many candidates before anything is said; ours. */
const ENOUGH_CANDIDATES = 6;
/** A difference below this is of no use to anybody, however sure: in levels; ours. */
const NOTABLE = 0.15;
/** False alarms over a whole panel in which nobody differs. */
const FALSE_ALARM = 0.05;

/**
 * What the marks say of each judge: one word first, then the numbers it rests on.
 *
 * @param given the marks severities were estimated from. @param panel what came of them. @param waveOf when each candidate stood on the floor. @param isOwn whether a judge declared a candidate an own student.
 * @returns in the panel's order. Severe or lenient only where it is notable and above what chance gives the most extreme of so many judges one time in twenty.
 *
 * A judge of few candidates is “too-little”, whatever the marks. Source of the limit: Bonferroni over the panel (Dunn 1961, doi:10.1080/01621459.1961.10482090).
 */
export function judgeReports(
  given: readonly MarkedCandidate[],
  panel: PanelSeverity,
  waveOf: (candidate: CandidateId) => number,
  isOwn: (judge: PersonId, candidate: CandidateId) => boolean = () => false,
): JudgeReport[] {
  const { judges, found } = panel;
  const oddOf = oddEffects(given, waveOf, isOwn);
  const limit = normalExceededBy(FALSE_ALARM / 2 / Math.max(1, judges.length));
  const counts = judges.map(() => ({
    marks: 0,
    rest: 0,
    performed: 0,
    levels: new Map<number, number>(),
  }));
  const seen = judges.map(() => new Set<CandidateId>());
  const waves = judges.map(() => new Map<number, { sum: number; cells: number }>());
  const placeOf = new Map(judges.map((judge, place) => [judge, place]));
  for (const { candidate, marks } of given) {
    const cells = new Map<string, { judge: number; level: number }[]>();
    for (const mark of marks) {
      const judge = placeOf.get(mark.judge);
      if (judge === undefined || mark.level === "not-seen") continue;
      const its = counts[judge] as (typeof counts)[number];
      its.marks++;
      if (mark.how === "rest") its.rest++;
      // Done is done: a list says nothing of how somebody judges.
      if (mark.criterion !== DONE) {
        its.performed++;
        its.levels.set(mark.level, (its.levels.get(mark.level) ?? 0) + 1);
      }
      seen[judge]?.add(candidate);
      const key = placeKey(mark);
      const cell = cells.get(key) ?? [];
      cell.push({ judge, level: mark.level });
      cells.set(key, cell);
    }
    const wave = waveOf(candidate);
    for (const cell of cells.values()) {
      if (cell.length < 2) continue;
      const all = cell.reduce((sum, { level }) => sum + level, 0);
      for (const { judge, level } of cell) {
        const its = waves[judge]?.get(wave) ?? { sum: 0, cells: 0 };
        its.sum += (all - level) / (cell.length - 1) - level;
        its.cells++;
        waves[judge]?.set(wave, its);
      }
    }
  }
  return judges.map((judge, place): JudgeReport => {
    const { marks, rest, performed, levels } = counts[place] as (typeof counts)[number];
    const its = found.kind === "estimated" ? found.judges[place] : undefined;
    const severity = its ? { value: its.severity, se: its.se } : null;
    const candidates = seen[place]?.size ?? 0;
    const sameShare = performed === 0 ? 0 : Math.max(...levels.values()) / performed;
    return {
      judge,
      candidates,
      marks,
      restShare: marks === 0 ? 0 : rest / marks,
      sameShare,
      severity,
      standing: standingOf(severity, candidates, oddOf.get(judge)?.isFlat ?? false, limit),
      odd: oddOf.get(judge)?.odd ?? [],
      drift: [...(waves[place] ?? [])]
        .map(([wave, { sum, cells }]) => ({ wave, apart: sum / cells, cells }))
        .sort((a, b) => a.wave - b.wave),
    };
  });
}

function standingOf(
  severity: JudgeReport["severity"],
  candidates: number,
  isFlat: boolean,
  limit: number,
): JudgeStanding {
  if (candidates < ENOUGH_CANDIDATES) return "too-little";
  if (isFlat) return "flat";
  if (!severity) return "too-little";
  const { value, se } = severity;
  if (Math.abs(value) < NOTABLE || Math.abs(value) < limit * se) return "like-others";
  return value > 0 ? "severe" : "lenient";
}
