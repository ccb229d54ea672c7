import type { PersonId } from "../../book/identity.ts";
import { LEVEL_PARTS } from "../../ratings/panel-mark.ts";
import { shiftOf } from "../../ratings/severity/adjusted-score.ts";
import type { Severities } from "../../ratings/severity/severities.ts";
import { compared, type Rational, rational, toNumber } from "../exact/rational.ts";
import { unmet } from "./lines.ts";
import type { AdjustedResult, CandidateCase } from "./outcome.ts";
import { type PanelCell, seenOf } from "./panel-cells.ts";
import { reconciled } from "./reconciled.ts";
import { retestRule } from "./retest-set.ts";
import { type SectionStanding, sectionStanding, standing } from "./standing.ts";
import type { Weighing } from "./weighing.ts";

/**
 * A candidate's result had every judge been as severe as every other (or as the standard): the rubric's own rule on scores without what severity took off.
 *
 * Each section is moved by what its judges took off, each by the part of it that this judge's marks made and by what a level is worth there in percent;
 * floors and must-shows are moved with it, checklists are not, and nothing leaves 0–100. Nobody is pulled towards anybody.
 *
 * @param severities of the panel, in levels. @param judges whose places those are; a judge whom they do not name is taken at 0.
 * @returns percent; null where a section has no score, so that there is no result to compare with.
 *
 * Of the adjustments that turn a verdict about two in three are right (docs/fairness.md): advice, never a verdict. Source: `adjustedScore`.
 */
export function adjustedResult(
  from: CandidateCase,
  severities: Pick<Severities, "judges" | "covariance" | "hasStandard">,
  judges: readonly PersonId[],
): AdjustedResult | null {
  const { weighing, cells, standing: plain } = reconciled(from);
  const placeOf = new Map(judges.map((judge, place) => [judge, place]));
  const to = severities.hasStandard ? "standard" : "panel";
  const whole = new Float64Array(judges.length);
  const counting = weighing.sections
    .filter(({ from: first, to: last }) => first < last)
    .reduce((sum, { weight }) => sum + Number(weight), 0);

  const sections = plain.sections.map((now): SectionStanding => {
    const { section } = now;
    if (now.score === null || section.section.marking === "checklist") return now;
    const loadOf = (places: readonly number[]) =>
      loadsOf(weighing, section, cells, places, placeOf, judges.length);
    const load = loadOf(section.lines[0].cells);
    load.forEach((one, judge) => {
      whole[judge] = (whole[judge] as number) + (one * Number(section.weight)) / counting;
    });
    const score = moved(now.score, shiftOf(load, severities, to).change);
    const short = unmet(section.lines, ({ item, cells: its }) => {
      if (item === null) return score;
      const shown = scoreOf(weighing, section, cells, its);
      return shown && moved(shown, shiftOf(loadOf(its), severities, to).change);
    });
    return { ...now, score, unmet: short };
  });
  const { computed, total, retestSections } = standing(weighing, sections, retestRule(from));
  if (computed === "incomplete" || total === null || plain.total === null) return null;
  return {
    score: toNumber(total),
    change: toNumber(total) - toNumber(plain.total),
    se: shiftOf(whole, severities, to).se,
    to,
    sections: sections.map(({ section, score }) => ({
      id: section.section.id,
      score: score && toNumber(score),
    })),
    computed,
    retestSections,
  };
}

/** How far the score of these cells falls, in percent, when each judge is a level more severe. */
function loadsOf(
  weighing: Weighing,
  { ladder }: Weighing["sections"][number],
  cells: readonly PanelCell[],
  places: readonly number[],
  placeOf: ReadonlyMap<PersonId, number>,
  size: number,
): Float64Array {
  const load = new Float64Array(size);
  let all = 0;
  for (const at of places) {
    const { judges, combined } = cells[at] as PanelCell;
    if (!combined) continue;
    const weight = Number((weighing.cells[at] as Weighing["cells"][number]).weight);
    all += weight;
    const worth = slopeAt(ladder, combined.parts / LEVEL_PARTS) / Number(weighing.pointParts);
    for (const one of combined.used) {
      const place = placeOf.get(judges[one] as PersonId);
      if (place !== undefined)
        load[place] = (load[place] as number) + (weight * worth) / combined.used.length;
    }
  }
  return all === 0 ? load : load.map((one) => one / all);
}

/** What a level more is worth at this level: the step it lies in; on a level the mean of the steps on both sides. */
function slopeAt(ladder: readonly bigint[], level: number): number {
  const step = (from: number) => Number((ladder[from] as bigint) - (ladder[from - 1] as bigint));
  const below = Math.min(ladder.length - 1, Math.max(1, Math.ceil(level) - 1));
  const above = Math.min(ladder.length - 1, Math.max(1, Math.floor(level)));
  return (step(below) + step(above)) / 2;
}

/** What was seen of these cells, however little: as the rule does with must-shows. */
function scoreOf(
  weighing: Weighing,
  section: Weighing["sections"][number],
  cells: readonly PanelCell[],
  places: readonly number[],
): Rational | null {
  const seen = new Set(places.filter((at) => seenOf(cells[at]) !== null));
  if (seen.size === 0) return null;
  let cellWeight = 0n;
  for (const at of seen) cellWeight += (weighing.cells[at] as Weighing["cells"][number]).weight;
  const only = { ...section, cellWeight, lines: [section.lines[0]] as const };
  return sectionStanding(weighing, only, (at) => (seen.has(at) ? seenOf(cells[at]) : null)).score;
}

/** To a millionth of a percent, so that a difference of nothing does not fail what is met exactly; never outside 0–100. */
function moved(score: Rational, change: number): Rational {
  const micro = BigInt(Math.round(change * 1e6));
  if (micro === 0n) return score;
  const then = rational(score.n * 1_000_000n + micro * score.d, score.d * 1_000_000n);
  if (then.n < 0n) return rational(0n);
  return compared(then, rational(100n)) > 0 ? rational(100n) : then;
}
