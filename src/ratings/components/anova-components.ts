import { solved } from "../statistics/solved.ts";
import { type CrossProducts, crossProducts } from "./cross-products.ts";
import { rowsOfTerms } from "./effect-rows.ts";
import { type Layout, layoutOf } from "./layout.ts";
import { spreadsOf } from "./spreads.ts";
import type { Term } from "./term.ts";

export interface AnovaComponents {
  /** One for each term; they may come out below 0, and are left as they come. */
  variances: number[];
  residual: number;
}

/**
 * Variance components from sums of squares: each sum is set equal to what it would be on the average.
 *
 * @param marks any unit; variances are in its square. @param terms random effects, each with more than one level. Missing cells are allowed.
 * @returns `null` where the sums do not tell the effects apart (one effect has the same levels as another, or a level of its own for each mark).
 *
 * On complete tables these are the analysis-of-variance estimates of the textbooks. With missing cells they are unbiased but less precise than REML.
 * Source: Henderson 1953, method 1, doi:10.2307/3001853; Brennan 2001, Generalizability Theory, section 7.1 (analogous ANOVA).
 *
 * @example
 * // Shrout & Fleiss 1979: 6 candidates × 4 judges.
 * const marks = Float64Array.of(9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7);
 * const factor = (levels, level) => ({ levels, codes: Int32Array.from(marks, (_, i) => level(i)) });
 * const factors = new Map([["candidate", factor(6, (i) => i >> 2)], ["judge", factor(4, (i) => i % 4)]]);
 * const terms = [["candidate"], ["judge"]].map((names) => termOf(names, { marks, factors }));
 * anovaComponents(marks, terms)?.variances.map((one) => one.toFixed(4)); // => ["2.5556", "5.2444"]
 */
export function anovaComponents(
  marks: Float64Array,
  terms: readonly Term[],
): AnovaComponents | null {
  const layout = layoutOf(terms, []);
  return anovaOf(crossProducts(marks, layout), layout, terms);
}

/** The same from what the equations of REML count anyway; fixed effects among them are passed over. */
export function anovaOf(
  data: CrossProducts,
  layout: Layout,
  terms: readonly Term[],
): AnovaComponents | null {
  const { n, squares, sums } = data;
  const spreads = spreadsOf(data, layout, terms);
  const rows = rowsOfTerms(layout, terms);
  // Unknowns: each term, then the residual; equations: each term's sum of squares, then the total, all about the mean.
  const inMean = terms.map((term) => term.counts.reduce((sum, c) => sum + c * c, 0) / n);
  const equations = terms.map((term, k) => [
    ...terms.map((_, m) => (spreads[k]?.[m] as number) - (inMean[m] as number)),
    term.levels - 1,
  ]);
  equations.push([...terms.map((_, m) => n - (inMean[m] as number)), n - 1]);
  const right = terms.map((term, k) => {
    const { part, places } = rows[k] as (typeof rows)[number];
    let between = 0;
    places.forEach((place, l) => {
      between += (sums[part][place] as number) ** 2 / (term.counts[l] as number);
    });
    return between;
  });
  const answer = solved(equations, [...right, squares]);
  return answer && { variances: answer.slice(0, -1), residual: answer.at(-1) as number };
}
