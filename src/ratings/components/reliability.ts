import { type MarkColumns, termOf } from "./term.ts";

export interface DStudyRow {
  judges: number;
  /** For putting candidates in order. */
  g: number | null;
  /** For comparing a candidate with a pass mark. */
  phi: number | null;
  /** Standard error of measurement of a candidate's mean, in marks: against a pass mark, and among candidates. */
  sem: number;
  semRelative: number;
}
export interface Reliability extends DStudyRow {
  /** The same for panels from one judge up, everything else as it was. */
  dStudy: DStudyRow[];
}

/**
 * How far a candidate's mean can be trusted, and what one more judge would buy: generalizability (G), dependability (Phi), and the decision study.
 *
 * @param columns the marks the components come from: they say how many judges, items and criteria each candidate met (harmonic means where that differs).
 * @param components variances by name, one of them `candidate`; and the residual. Below 0 counts as 0.
 * @param fixed factors that would be the same every time (criteria): the candidate's interaction with them is no error.
 * @param most judges in the decision study.
 * @returns `judges` is the harmonic mean of judges per candidate; G and Phi are null where nothing varies. `null` when there is no candidate component.
 *
 * Promises for another panel hold only if its judges are like these; and a component estimated from three judges is hardly known.
 * Source: Brennan 2001, Generalizability Theory, sections 4.1.2–4.1.4; Cronbach, Gleser, Nanda & Rajaratnam 1972.
 *
 * @example
 * const factor = (levels, level) => ({ levels, codes: Int32Array.from({ length: 24 }, (_, i) => level(i)) });
 * const factors = new Map([["candidate", factor(6, (i) => i >> 2)], ["judge", factor(4, (i) => i % 4)]]);
 * const columns = { marks: new Float64Array(24), factors };
 * const answer = reliability(columns, [{ name: "candidate", variance: 2.5556 }, { name: "judge", variance: 5.2444 }], 1.0194, []);
 * // ICC(3,4) and ICC(2,4) of Shrout & Fleiss 1979.
 * [answer.g.toFixed(2), answer.phi.toFixed(2)]; // => ["0.91", "0.62"]
 */
export function reliability(
  columns: MarkColumns,
  components: readonly { name: string; variance: number }[],
  residual: number,
  fixed: readonly string[],
  most = 10,
): Reliability | null {
  if (!components.some(({ name }) => name === "candidate")) return null;
  const judges = columns.factors.has("judge") ? metPerCandidate(columns, ["judge"]) : 1;
  let universe = 0;
  const errors: {
    perCandidate: number;
    variance: number;
    hasJudge: boolean;
    isRelative: boolean;
  }[] = [];
  for (const { name, variance } of components) {
    const all = name.split(":");
    const others = all.filter((factor) => factor !== "candidate");
    const share = Math.max(0, variance);
    const perCandidate = others.length === 0 ? 1 : metPerCandidate(columns, others);
    const isRelative = others.length < all.length;
    if (isRelative && others.every((factor) => fixed.includes(factor)))
      universe += share / perCandidate;
    else if (!others.every((factor) => fixed.includes(factor)))
      errors.push({
        perCandidate,
        variance: share,
        hasJudge: others.includes("judge"),
        isRelative,
      });
  }
  errors.push({
    perCandidate: marksPerCandidate(columns),
    variance: Math.max(0, residual),
    hasJudge: true,
    isRelative: true,
  });
  const row = (panel: number): DStudyRow => {
    let [relative, absolute] = [0, 0];
    for (const { perCandidate, variance, hasJudge, isRelative } of errors) {
      const error = variance / (hasJudge ? (perCandidate * panel) / judges : perCandidate);
      absolute += error;
      if (isRelative) relative += error;
    }
    const ratio = (error: number) => (universe + error > 0 ? universe / (universe + error) : null);
    return {
      judges: panel,
      g: ratio(relative),
      phi: ratio(absolute),
      sem: Math.sqrt(absolute),
      semRelative: Math.sqrt(relative),
    };
  };
  const panels = Array.from({ length: Math.max(1, most) }, (_, i) => i + 1);
  return { ...row(judges), dStudy: panels.map(row) };
}

/** Levels of these factors together that a candidate met: the harmonic mean over candidates. */
function metPerCandidate(columns: MarkColumns, names: readonly string[]): number {
  const candidates = termOf(["candidate"], columns);
  const both = termOf(["candidate", ...names], columns);
  const met = new Float64Array(candidates.levels);
  const seen = new Uint8Array(both.levels);
  both.codes.forEach((code, i) => {
    if (seen[code]) return;
    seen[code] = 1;
    const candidate = candidates.codes[i] as number;
    met[candidate] = (met[candidate] as number) + 1;
  });
  return harmonicMean(met);
}
function marksPerCandidate(columns: MarkColumns): number {
  return harmonicMean(termOf(["candidate"], columns).counts);
}
const harmonicMean = (counts: Float64Array): number =>
  counts.length / counts.reduce((sum, count) => sum + 1 / count, 0);
