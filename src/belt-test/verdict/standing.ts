import { LEVEL_PARTS } from "../../ratings/panel-mark.ts";
import { compared, type Rational, rational } from "../exact/rational.ts";
import { weightedTotal } from "../exact/weighted-total.ts";
import type { SectionId } from "../identity.ts";
import type { Computed } from "../kinds/decision.ts";
import { passes } from "../rubric/pass-line.ts";
import { type Unmet, unmet } from "./lines.ts";
import { type RetestRule, retestSet } from "./retest-set.ts";
import { pointsAt, type WeighedSection, type Weighing } from "./weighing.ts";

/** A panel mark in parts of a level (see panel-mark.ts); null where nobody saw the cell. */
export type Seen = number | null;

/** The share of a section's weight that must be seen before the rest may stand for what is missing. */
const ENOUGH_SEEN = rational(3n, 4n);

/** Where a section stands, exactly. Fractions here are not in lowest terms: they are compared, seldom shown. */
export interface SectionStanding {
  section: WeighedSection;
  /** Points of the cells seen, each by its weight, not yet divided by the weight seen. */
  points: bigint;
  score: Rational | null;
  seen: Rational;
  isExcused: boolean;
  unmet: readonly Unmet[];
}

export interface Standing {
  computed: Computed;
  total: Rational | null;
  sections: readonly SectionStanding[];
  retestSections: readonly SectionId[];
}

/**
 * Where a candidate stands in one section.
 *
 * The cells somebody saw, by weight: a missing cell's weight goes to the others in proportion, while at least three quarters of the section's weight
 * was seen; below that there is no score. Floor and must-shows are met at ≥, unrounded.
 */
export function sectionStanding(
  weighing: Weighing,
  section: WeighedSection,
  seenAt: (cell: number) => Seen,
): SectionStanding {
  const { from, to } = section;
  if (from === to)
    return {
      section,
      points: 0n,
      score: null,
      seen: { n: 1n, d: 1n },
      isExcused: true,
      unmet: [],
    };

  return summed(weighing, section, sumOf(weighing, section, between(from, to), seenAt), seenAt);
}

/**
 * The same section with other panel marks in some cells: only those are counted again.
 * @param changed what each such cell comes to now. @param seenBefore what every cell came to in `before`.
 */
export function restated(
  weighing: Weighing,
  before: SectionStanding,
  changed: ReadonlyMap<number, Seen>,
  seenBefore: (cell: number) => Seen,
): SectionStanding {
  const { section } = before;
  const its = [...changed.keys()].filter((at) => at >= section.from && at < section.to);
  const seenAt = (at: number): Seen => {
    const other = changed.get(at);
    return other === undefined ? seenBefore(at) : other;
  };
  const gone = sumOf(weighing, section, its, seenBefore);
  const come = sumOf(weighing, section, its, seenAt);
  const points = before.points - gone.points + come.points;
  const weight = before.seen.n - gone.weight + come.weight;
  return summed(weighing, section, { points, weight }, seenAt);
}

interface Sum {
  points: bigint;
  weight: bigint;
}

function sumOf(
  { cells }: Weighing,
  { ladder }: WeighedSection,
  places: Iterable<number>,
  seenAt: (cell: number) => Seen,
): Sum {
  let [points, weight] = [0n, 0n];
  for (const place of places) {
    const parts = seenAt(place);
    if (parts === null) continue;
    const its = (cells[place] as Weighing["cells"][number]).weight;
    weight += its;
    points += its * pointsAt(ladder, parts);
  }
  return { points, weight };
}

/** What the sum of a section's cells comes to. */
function summed(
  weighing: Weighing,
  section: WeighedSection,
  { points, weight }: Sum,
  seenAt: (cell: number) => Seen,
): SectionStanding {
  const unit = weighing.pointParts * BigInt(LEVEL_PARTS);
  const seen = { n: weight, d: section.cellWeight };
  const score = compared(seen, ENOUGH_SEEN) >= 0 ? { n: points, d: weight * unit } : null;
  const ends = unmet(section.lines, ({ item, cells }) => {
    if (item === null) return score;
    const shown = sumOf(weighing, section, cells, seenAt);
    return shown.weight === 0n ? null : { n: shown.points, d: shown.weight * unit };
  });
  return { section, points, score, seen, isExcused: false, unmet: ends };
}

/** What questions may overrule when their effect is tried: what sections or the total come to. */
export interface Overruled {
  sectionsMet?: ReadonlyMap<SectionId, boolean>;
  totalPasses?: boolean;
}

/**
 * From sections to a verdict.
 *
 * `incomplete` where a section has no score for want of marks or a must-show was not seen, even when something else already fails,
 * since what is to be repeated is not known yet. `retest` where a floor or must-show is not met, or the total, rounded by the rubric's rule, is below the pass mark.
 */
export function standing(
  { pass }: Weighing,
  sections: readonly SectionStanding[],
  retest: RetestRule,
  overruled: Overruled = {},
): Standing {
  const counting = sections.filter(({ isExcused }) => !isExcused);
  const total = weightedTotal(
    counting.map(({ score, section }) => ({ score, weight: section.weight })),
  );
  const isIncomplete =
    counting.length === 0 || counting.some((one) => one.unmet.some(({ why }) => why === "unseen"));
  if (isIncomplete || total === null)
    return { computed: "incomplete", total, sections, retestSections: [] };

  const isMet = ({ section, unmet: some }: SectionStanding) =>
    overruled.sectionsMet?.get(section.section.id) ?? some.length === 0;
  const totalPasses = overruled.totalPasses ?? passes(total, pass);
  if (totalPasses && counting.every(isMet))
    return { computed: "pass", total, sections, retestSections: [] };
  const repeated = retestSet(
    counting.map((one) => ({
      score: one.score as Rational,
      meets: one.section.meets,
      weight: one.section.weight,
      isFailing: !isMet(one),
    })),
    pass,
    retest,
    !totalPasses,
  );
  return {
    computed: "retest",
    total,
    sections,
    // In the rubric's order, which is the order they will be tested in.
    retestSections: repeated.map(
      (place) => (counting[place] as SectionStanding).section.section.id,
    ),
  };
}

function* between(from: number, to: number): Iterable<number> {
  for (let at = from; at < to; at++) yield at;
}
