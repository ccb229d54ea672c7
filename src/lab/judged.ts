import { type Day, dayOf } from "./day.ts";
import type { Design } from "./designs.ts";
import { type Estimator, estimates, estimators } from "./estimators.ts";
import { scored } from "./scored.ts";
import { CELLS, SECTIONS } from "./setting.ts";
import { barOf, isPassed, type Truth, trueSections } from "./truths.ts";

/** Wrong verdicts by replicate: everything is reckoned from the same made-up days, so differences are paired. */
export interface Judged {
  design: Design;
  candidates: number;
  replicates: number;
  /** Share who truly pass. */
  passing: number;
  /** Share of wrong verdicts of each replicate. */
  wrong: Record<Truth, Record<Estimator | "left-out", Float64Array>>;
}

const truths: readonly Truth[] = ["absolute", "panel"];

export function judged(
  design: Design,
  candidates: number,
  replicates: number,
  seed: number,
): Judged {
  const empty = () =>
    Object.fromEntries(
      [...estimators, "left-out" as const].map((by) => [by, new Float64Array(replicates)]),
    ) as Judged["wrong"]["absolute"];
  const wrong = { absolute: empty(), panel: empty() };
  const bar = barOf(design.instrument, design.haloSd);
  let passing = 0;
  for (let replicate = 0; replicate < replicates; replicate++) {
    const day = dayOf(design, candidates, seed + replicate);
    const from = scored(day);
    const sectionsBy = estimates(day, from);
    const leftOut = design.flatJudge === null ? null : scored(without(day, design.flatJudge));
    for (const truth of truths) {
      const real = trueSections(day, truth);
      const count = (found: Float64Array) => {
        let sum = 0;
        for (let c = 0; c < candidates; c++)
          if (isPassed(real, c * SECTIONS, bar) !== isPassed(found, c * SECTIONS, bar)) sum++;
        return sum / candidates;
      };
      for (const by of estimators) wrong[truth][by][replicate] = count(sectionsBy(truth, by));
      if (leftOut) wrong[truth]["left-out"][replicate] = count(leftOut.sections);
      if (truth === "absolute")
        for (let c = 0; c < candidates; c++) if (isPassed(real, c * SECTIONS, bar)) passing++;
    }
  }
  return {
    design,
    candidates,
    replicates,
    passing: passing / (candidates * replicates),
    wrong,
  };
}

/** The same day without one judge's marks, wherever somebody else marked. */
function without(day: Day, judge: number): Day {
  const { judges } = day.design;
  const marks = day.marks.slice();
  for (let c = 0; c < day.candidates; c++) {
    const hasOthers = day.design.watching(c).some((one) => one !== judge);
    if (hasOthers)
      marks.fill(Number.NaN, (c * judges + judge) * CELLS, (c * judges + judge + 1) * CELLS);
  }
  return { ...day, marks };
}
