import type { PersonId } from "../../book/identity.ts";
import { ENOUGH_CANDIDATES } from "../../ratings/effects/judge-effects.ts";
import { hasty, type NoPace, type Pace, type Stroke } from "../../ratings/effects/pace.ts";
import { normalExceededBy } from "../../ratings/statistics/quantiles.ts";
import type { CandidateId } from "../identity.ts";
import { placeKey } from "../scorebook/cell.ts";
import { type JudgeWays, judgeWays, type OddEffect, oddEffects } from "./odd-effects.ts";
import type { MarkedCandidate } from "./panel-marks.ts";
import type { PanelSeverity } from "./panel-severity.ts";
import { scaleStep } from "./scale-step.ts";

/** What can be said of one judge in one word, before any number. */
type JudgeStanding =
  /** Too few candidates shared with others, or nobody to compare with. */
  | "too-little"
  /** The same mark everywhere, where others saw differences: nobody is told from anybody. */
  | "flat"
  | "severe"
  | "lenient"
  /** No difference that stands out of what chance makes. */
  | "like-others";

/** How much lower a judge marks, and the two questions about it: is it chance, and is it unusual? */
export interface JudgeSeverity {
  /** In levels, positive = severe. */
  value: number;
  se: number;
  /** Whom it is measured against: a standard where anchors or earlier tests gave one. */
  against: "others" | "standard";
  /** Above what chance gives the most extreme of so many judges who do not differ, one time in twenty. */
  isBeyondChance: boolean;
  /** Above what judges commonly differ and chance makes together: the alarm of `judgeEffects`. Whatever is, is beyond chance too. */
  isBeyondCommon: boolean;
}

export interface JudgeReport {
  judge: PersonId;
  /** Candidates this judge marked, those of them of whom somebody else marked the same, and marks; lists aside, for done is done. */
  candidates: number;
  shared: number;
  marks: number;
  /** See `JudgeEffects`; 0 of no marks. */
  restShare: number;
  sameShare: number;
  /** How fast, technique by technique: a description, no alarm. */
  pace: (Pace & { isHasty: boolean }) | NoPace;
  /** null where it cannot be told. */
  severity: JudgeSeverity | null;
  standing: JudgeStanding;
  /** What else ordinary judges do not show, in the order of `oddEffects`. */
  odd: readonly OddEffect[];
  /** Wave by wave: how much lower than the others this judge marked the same cells, in levels. */
  drift: readonly { wave: number; apart: number; cells: number }[];
}

/** A difference below this is of no use to anybody, however sure: in quarters of the scale (.15 of a level where there are four); ours. */
const NOTABLE = 0.2;
/** False alarms over a whole panel in which nobody differs. */
const FALSE_ALARM = 0.05;

/**
 * What the marks say of each judge: one word first, then the numbers it rests on.
 *
 * @param given the marks severities were estimated from. @param panel what came of them. @param waveOf when each candidate stood on the floor. @param isOwn whether a judge declared a candidate an own student. @param strokes as in `judgeWays`.
 * @returns in the panel's order. Severe or lenient only where it is notable and beyond chance.
 *
 * A judge of few shared candidates is “too-little”, whatever the marks. Source of the limit: Bonferroni over the panel (Dunn 1961, doi:10.1080/01621459.1961.10482090).
 */
export function judgeReports(
  given: readonly MarkedCandidate[],
  panel: PanelSeverity,
  waveOf: (candidate: CandidateId) => number,
  isOwn: (judge: PersonId, candidate: CandidateId) => boolean = () => false,
  strokes?: ReadonlyMap<PersonId, readonly Stroke[]>,
): JudgeReport[] {
  const { judges } = panel;
  const waysOf = new Map(
    judgeWays(given, waveOf, isOwn, strokes).map((ways) => [ways.judge, ways]),
  );
  const limit = normalExceededBy(FALSE_ALARM / 2 / Math.max(1, judges.length));
  const notable = NOTABLE * scaleStep(given);
  const waves = judges.map(() => new Map<number, { sum: number; cells: number }>());
  const placeOf = new Map(judges.map((judge, place) => [judge, place]));
  for (const { candidate, marks } of given) {
    const cells = new Map<string, { judge: number; level: number }[]>();
    for (const mark of marks) {
      const judge = placeOf.get(mark.judge);
      if (judge === undefined || mark.level === "not-seen") continue;
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
  const paces = judges.map((judge) => waysOf.get(judge)?.pace ?? NO_TIMES);
  const isHasty = hasty(paces);
  return judges.map((judge, place): JudgeReport => {
    const ways = waysOf.get(judge);
    const severity = severityOf(panel, place, ways, limit, notable);
    return {
      judge,
      candidates: ways?.candidates ?? 0,
      shared: ways?.shared ?? 0,
      marks: ways?.marks ?? 0,
      restShare: ways?.restShare ?? 0,
      sameShare: ways?.sameShare ?? 0,
      pace: paceOf(paces[place] ?? NO_TIMES, isHasty[place] ?? false),
      severity,
      standing: standingOf(severity, ways, notable),
      odd: ways ? oddEffects(ways) : [],
      drift: [...(waves[place] ?? [])]
        .map(([wave, { sum, cells }]) => ({ wave, apart: sum / cells, cells }))
        .sort((a, b) => a.wave - b.wave),
    };
  });
}

const NO_TIMES: NoPace = { reason: "no-times" };
const paceOf = (its: Pace | NoPace, isHasty: boolean): JudgeReport["pace"] =>
  "reason" in its ? its : { ...its, isHasty };

function severityOf(
  { found }: PanelSeverity,
  place: number,
  ways: JudgeWays | undefined,
  limit: number,
  notable: number,
): JudgeSeverity | null {
  const its = found.kind === "estimated" ? found.judges[place] : undefined;
  if (found.kind !== "estimated" || !its) return null;
  const { severity: value, se } = its;
  const alarm = ways?.effects.severity;
  // The alarm knows today's marks alone: where what was known beforehand turns the sign, it speaks of something else.
  const isAlarm = alarm !== undefined && "p" in alarm && alarm.isOdd && alarm.value * value > 0;
  const isBeyondCommon = isAlarm && Math.abs(value) >= notable;
  return {
    value,
    se,
    against: found.hasStandard ? "standard" : "others",
    isBeyondChance: Math.abs(value) >= limit * se || isBeyondCommon,
    isBeyondCommon,
  };
}

function standingOf(
  severity: JudgeReport["severity"],
  ways: JudgeWays | undefined,
  notable: number,
): JudgeStanding {
  if (!ways || ways.shared < ENOUGH_CANDIDATES) return "too-little";
  if (ways.isFlat) return "flat";
  if (!severity) return "too-little";
  const { value, isBeyondChance } = severity;
  if (Math.abs(value) < notable || !isBeyondChance) return "like-others";
  return value > 0 ? "severe" : "lenient";
}
