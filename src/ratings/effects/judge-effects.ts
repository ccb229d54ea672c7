import { flatJudges } from "../certainty/flat-judges.ts";
import { composites } from "../severity/composites.ts";
import { type Severities, severityBelief, whyNot } from "../severity/severities.ts";
import { normalAbove, tAbove } from "../statistics/distributions.ts";
import { type Gap, gaps } from "./gaps.ts";
import type { Judged } from "./judged.ts";

export type EffectName =
  /** Lower (positive) or higher marks than the others everywhere, in levels. */
  | "severity"
  /** The same in one criterion alone: the largest, in levels. */
  | "criterion"
  /** Weak candidates too high and strong ones too low: 0 as the others, -1 everybody alike. */
  | "compressed"
  /** All criteria of a technique alike, more often than the others: a share of techniques. */
  | "halo"
  /** From the first to the last candidate, in levels; positive = became lenient. */
  | "drift"
  /** Own students against others, in levels; positive = own students higher. */
  | "own-students";

export interface Effect {
  value: number;
  se: number;
  /** How likely chance and what judges commonly differ make so much, for this one judge. */
  p: number;
  /** Beyond what a whole panel of ordinary judges shows one time in twenty, all effects and judges together. */
  isOdd: boolean;
  /** Which criterion, for `criterion`. */
  criterion?: number;
}
type NoEffect =
  | "one-judge"
  | "nothing-shared"
  | "too-few-candidates"
  | "no-own-students"
  | "no-spread";

export interface JudgeEffects {
  judge: number;
  /** With marks of this judge, and those of them of whom somebody else marked the same cells. */
  candidates: number;
  shared: number;
  marks: number;
  /** Gave everybody the same mark: see `flatJudges`. */
  isFlat: boolean;
  /** Share of the mark given most, and of marks that “rest meets” wrote, 0–1. No alarm hangs on them: nobody knows what is common. */
  sameShare: number | null;
  restShare: number | null;
  effects: Readonly<Record<EffectName, Effect | { reason: NoEffect }>>;
}

/** Fewer candidates shared with others say nothing; ours. */
export const ENOUGH_CANDIDATES = 6;
const ENOUGH_OWN = 3;
/**
 * What ordinary judges differ by, standard deviations in quarters of the scale (slopes and shares as they are): ours, from the setting of docs/fairness.md; nobody has measured a dojo.
 * An effect is odd beyond these and chance together.
 */
const COMMON = {
  severity: 0.3,
  criterion: 0.15,
  compressed: 0.1,
  halo: 0.08,
  drift: 0.17,
} as const;
/** One false alarm in twenty panels, shared out: the most to what is hardest to tell from ordinary judges. */
const ALARM: Record<EffectName, number> = {
  severity: 0.031,
  criterion: 0.0006,
  compressed: 0.002,
  halo: 0.0006,
  drift: 0.0008,
  "own-students": 0.015,
};

/**
 * What each judge's marks say of the judge: six effects, each with its error and an alarm that rings falsely in one panel of twenty.
 *
 * @param judged everybody's marks at lock. @returns one for each judge of the panel; where too little is known a reason stands instead of a number. In levels of the scale, but for shares and slopes.
 *   No mark is ever corrected by any of it.
 *
 * Effects lean on the others of the panel: where two of three judges are odd alike, the third looks odd. A slope is measured against others who err too; that flattening is taken out by its expectation.
 * Sources: weighted Bonferroni over effects and judges: Rosenthal & Rubin 1983 (Ensemble-adjusted p values, Psychological Bulletin 94, from memory); the effects: Myford & Wolfe 2003, 2004 (Detecting and measuring rater effects, Journal of Applied Measurement 4 and 5, from memory).
 */
export function judgeEffects(judged: Judged): JudgeEffects[] {
  const { marks, step, isRest, moment, isOwn } = judged;
  const scores = composites(marks);
  const belief = severityBelief(scores, { level: step });
  const why = whyNot(scores);
  const flat = flatJudges(marks);
  const rows = gaps(
    judged,
    belief.judges.map(({ severity }) => severity),
  );
  const counts = countsOf(judged);
  const criteria = judged.criterion.reduce((most, one) => Math.max(most, one + 1), 0);
  const found = Array.from({ length: marks.judges }, (_, judge): JudgeEffects => {
    const own = rows.filter((row) => row.judge === judge);
    const its = counts[judge] as (typeof counts)[number];
    const reason: NoEffect | null =
      why === "one-judge" || marks.judges < 2
        ? "one-judge"
        : own.length === 0
          ? "nothing-shared"
          : own.length < ENOUGH_CANDIDATES
            ? "too-few-candidates"
            : null;
    const or = (effect: () => Effect | { reason: NoEffect }) => (reason ? { reason } : effect());
    return {
      judge,
      candidates: its.candidates.size,
      shared: own.length,
      marks: its.marks,
      isFlat: flat.includes(judge),
      sameShare: its.marks === 0 ? null : Math.max(...its.levels.values()) / its.marks,
      restShare: its.marks === 0 ? null : its.rest / its.marks,
      effects: {
        severity: or(() =>
          why === "not-connected" ? { reason: "nothing-shared" } : severityOf(belief, judge, step),
        ),
        criterion: or(() => criterionOf(own, criteria, step)),
        compressed: or(() => compressedOf(own, belief.residualSd)),
        halo: or(() => haloOf(own)),
        drift: or(() =>
          slopeOf(own, (row) => moment[row.candidate] as number, "drift", 0, COMMON.drift * step),
        ),
        "own-students": or(() => ownOf(own, isOwn)),
      },
    };
  });
  return alarmed(found);

  function countsOf({ marks: { judge, candidate, level } }: Judged) {
    const all = Array.from({ length: marks.judges }, () => ({
      marks: 0,
      rest: 0,
      levels: new Map<number, number>(),
      candidates: new Set<number>(),
    }));
    for (let i = 0; i < level.length; i++) {
      const one = all[judge[i] as number] as (typeof all)[number];
      one.marks++;
      one.rest += isRest[i] as number;
      one.levels.set(level[i] as number, (one.levels.get(level[i] as number) ?? 0) + 1);
      one.candidates.add(candidate[i] as number);
    }
    return all;
  }
}

/** Rings the alarm where a chance is below its share of one in twenty, over all judges who have that effect. */
function alarmed(all: JudgeEffects[]): JudgeEffects[] {
  const names = Object.keys(ALARM) as EffectName[];
  const tests = new Map(
    names.map((name) => [name, all.filter(({ effects }) => "p" in effects[name]).length]),
  );
  return all.map((one) => ({
    ...one,
    effects: Object.fromEntries(
      names.map((name) => {
        const effect = one.effects[name];
        return [
          name,
          "p" in effect
            ? { ...effect, isOdd: effect.p <= ALARM[name] / (tests.get(name) as number) }
            : effect,
        ];
      }),
    ) as JudgeEffects["effects"],
  }));
}

/** Measured against the panel's mean; the posterior mean of an ordinary judge varies by the common variance less the posterior's. */
function severityOf({ judges, hasStandard }: Severities, judge: number, step: number): Effect {
  const { severity, se } = judges[judge] as Severities["judges"][number];
  const common =
    (COMMON.severity * step) ** 2 * (hasStandard ? 1 : 1 - 1 / judges.length) - se ** 2;
  const p = common <= 0 ? 1 : 2 * normalAbove(Math.abs(severity) / Math.sqrt(common));
  return { value: severity, se, p, isOdd: false };
}

function meanOf(values: readonly number[]): { mean: number; se: number } {
  const n = values.length;
  const mean = values.reduce((sum, value) => sum + value, 0) / n;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return { mean, se: Math.sqrt(squares / (n * Math.max(1, n - 1))) };
}

function judgedOf(value: number, se: number, common: number, degrees: number): Effect {
  const spread = Math.hypot(se, common);
  return {
    value,
    se,
    p: spread === 0 ? 1 : 2 * tAbove(Math.abs(value) / spread, Math.max(1, degrees)),
    isOdd: false,
  };
}

function criterionOf(
  rows: readonly Gap[],
  criteria: number,
  step: number,
): Effect | { reason: NoEffect } {
  let worst: Effect | null = null;
  let tests = 0;
  for (let k = 0; k < criteria; k++) {
    const values = rows.map(({ byCriterion }) => byCriterion[k] as number).filter(Number.isFinite);
    if (criteria < 2 || values.length < ENOUGH_CANDIDATES) continue;
    tests++;
    const { mean, se } = meanOf(values);
    const judges = rows.reduce((sum, row) => sum + row.judges, 0) / rows.length;
    const common = COMMON.criterion * step * Math.sqrt(1 + 1 / judges);
    // Positive is severe, as everywhere.
    const effect = { ...judgedOf(-mean, se, common, values.length - 1), criterion: k };
    if (!worst || effect.p < worst.p) worst = effect;
  }
  return worst ? { ...worst, p: Math.min(1, worst.p * tests) } : { reason: "too-few-candidates" };
}

/** The least-squares slope of the gaps. */
function slopeOf(
  rows: readonly Gap[],
  of: (row: Gap) => number,
  name: "drift" | "compressed",
  expected: number,
  common: number,
): Effect | { reason: NoEffect } {
  const x = rows.map(of);
  const { mean } = meanOf(x);
  const across = x.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  if (across < 1e-12) return { reason: "no-spread" };
  const middle = meanOf(rows.map(({ gap }) => gap)).mean;
  let slope = 0;
  rows.forEach(({ gap }, i) => {
    slope += (((x[i] as number) - mean) * (gap - middle)) / across;
  });
  const rest = rows.reduce(
    (sum, { gap }, i) => sum + (gap - middle - slope * ((x[i] as number) - mean)) ** 2,
    0,
  );
  const degrees = rows.length - 2;
  const se = Math.sqrt(rest / Math.max(1, degrees) / across);
  // Drift is told from the first to the last candidate.
  const whole = name === "drift" ? Math.max(...x) - Math.min(...x) : 1;
  const judges = rows.reduce((sum, row) => sum + row.judges, 0) / rows.length;
  const spread = name === "drift" ? common * Math.sqrt(1 + 1 / judges) : common;
  return judgedOf((slope - expected) * whole, se * whole, spread, degrees);
}

function compressedOf(rows: readonly Gap[], residualSd: number): Effect | { reason: NoEffect } {
  const { mean } = meanOf(rows.map(({ others }) => others));
  const across =
    rows.reduce((sum, { others }) => sum + (others - mean) ** 2, 0) / Math.max(1, rows.length - 1);
  const judges = rows.reduce((sum, row) => sum + row.judges, 0) / rows.length;
  if (across < 1e-12) return { reason: "no-spread" };
  const flattening = Math.min(0.9, residualSd ** 2 / judges / across);
  return slopeOf(rows, ({ others }) => others, "compressed", -flattening, COMMON.compressed);
}

function haloOf(rows: readonly Gap[]): Effect | { reason: NoEffect } {
  const values = rows.map(({ allAlike }) => allAlike).filter(Number.isFinite);
  if (values.length < ENOUGH_CANDIDATES) return { reason: "too-few-candidates" };
  const { mean, se } = meanOf(values);
  const effect = judgedOf(mean, se, COMMON.halo, values.length - 1);
  // Fewer alike than the others is no fault.
  return mean > 0 ? effect : { ...effect, p: 1 };
}

function ownOf(rows: readonly Gap[], isOwn: Judged["isOwn"]): Effect | { reason: NoEffect } {
  const own = rows.filter(({ candidate, judge }) => isOwn(candidate, judge)).map(({ gap }) => gap);
  const others = rows
    .filter(({ candidate, judge }) => !isOwn(candidate, judge))
    .map(({ gap }) => gap);
  if (own.length < ENOUGH_OWN || others.length < ENOUGH_OWN) return { reason: "no-own-students" };
  const [a, b] = [meanOf(own), meanOf(others)];
  const degrees = own.length + others.length - 2;
  const squares =
    a.se ** 2 * own.length * (own.length - 1) + b.se ** 2 * others.length * (others.length - 1);
  const se = Math.sqrt((squares / degrees) * (1 / own.length + 1 / others.length));
  return judgedOf(a.mean - b.mean, se, 0, degrees);
}
