import { LEVEL_PARTS } from "../../ratings/panel-mark.ts";
import { fromDecimal, over, plus, type Rational, rational, times } from "../exact/rational.ts";
import { commonDenominator, wholes } from "../exact/wholes.ts";
import type { ItemId } from "../identity.ts";
import { criteriaAt, markedSides } from "../rubric/lookup.ts";
import { type PassLine, passLine } from "../rubric/pass-line.ts";
import { CHECKLIST_LEVELS, DONE, type Item, type Rubric, type Section } from "../rubric/rubric.ts";
import { type Place, placeKey } from "../scorebook/cell.ts";
import type { Line, Lines } from "./lines.ts";

/** One cell a panel mark is asked for, and what it weighs in its section. */
interface WeighedCell {
  place: Place;
  /** Index of its section. */
  section: number;
  /** Whole; only ratios within the section count. */
  weight: bigint;
  /** How many levels a mark here may have. */
  top: number;
}

export interface WeighedSection {
  section: Section;
  /** Its weight among the sections, as a whole number. */
  weight: bigint;
  /** Its cells are `cells[from]` to `cells[to - 1]`; none where everything is excused. */
  from: number;
  to: number;
  /** Sum of the weights of its cells. */
  cellWeight: bigint;
  /** Points of each level in 1/`pointParts` percent. */
  ladder: readonly bigint[];
  /** What it must reach: its floor first. */
  lines: Lines;
  /** Percent at the level that *Meets*. */
  meets: Rational;
}

/** A rubric as one candidate is weighed by it: excused items are gone, all weights are whole numbers. */
export interface Weighing {
  cells: readonly WeighedCell[];
  sections: readonly WeighedSection[];
  /** Finds a cell by its place's key. */
  cellAt: ReadonlyMap<string, number>;
  /** A percent is cut into this many parts before a level's points are. */
  pointParts: bigint;
  pass: PassLine;
}

const whole = new WeakMap<Rubric, Weighing>();

/**
 * How much every cell weighs: item weights share out a section, criterion weights an item (over the criteria the item asks for),
 * sides halve a criterion where both are marked; the criteria marked once a section are one further item of their own weight.
 *
 * @param excused items this candidate does not do; they leave both what is reached and what could be reached.
 * @returns the same object for the same rubric when nothing is excused.
 */
export function weighing(rubric: Rubric, excused: readonly ItemId[] = []): Weighing {
  if (excused.length > 0) return weighed(rubric, new Set(excused));
  let known = whole.get(rubric);
  if (!known) whole.set(rubric, (known = weighed(rubric, new Set())));
  return known;
}

function weighed(rubric: Rubric, excused: ReadonlySet<ItemId>): Weighing {
  const criterionWeight = new Map(
    rubric.criteria.map(({ id, weight }) => [id, fromDecimal(weight)]),
  );
  criterionWeight.set(DONE, rational(1n));
  const levelPoints = rubric.scale.levels.map(({ points }) => fromDecimal(points));
  const pointParts = commonDenominator(levelPoints);
  const sectionWeights = wholes(rubric.sections.map(({ weight }) => fromDecimal(weight)));
  const cells: WeighedCell[] = [];

  const sections = rubric.sections.map((section, index): WeighedSection => {
    const from = cells.length;
    const isChecklist = section.marking === "checklist";
    const points = isChecklist ? [rational(0n), rational(100n)] : levelPoints;
    const asked: { place: Place; weight: Rational }[] = [];
    const ask = (item: Item | null, weight: number): number[] => {
      const criteria = criteriaAt(section, item);
      const sides = markedSides(item);
      const weights = criteria.map((id) => criterionWeight.get(id) ?? rational(1n));
      const all = times(weights.reduce(plus, rational(0n)), rational(BigInt(sides.length)));
      return sides.flatMap((side) =>
        criteria.map((criterion, place) => {
          asked.push({
            place: { section: section.id, item: item?.id ?? null, side, criterion },
            weight: times(fromDecimal(weight), over(weights[place] as Rational, all)),
          });
          return from + asked.length - 1;
        }),
      );
    };
    const mustShow = section.items
      .filter(({ id }) => !excused.has(id))
      .flatMap((item): Line[] => {
        const itsCells = ask(item, item.weight);
        return item.mustShow
          ? [
              {
                kind: "must-show",
                item: item.id,
                at: fromDecimal(item.mustShow.floor),
                cells: itsCells,
              },
            ]
          : [];
      });
    // Who is excused from every item of a section is excused from what is marked once in it.
    if (section.onceASection && asked.length > 0) ask(null, section.onceASection.weight);
    const weights = wholes(asked.map(({ weight }) => weight));
    asked.forEach(({ place }, at) => {
      cells.push({
        place,
        section: index,
        weight: weights[at] as bigint,
        top: isChecklist ? CHECKLIST_LEVELS : rubric.scale.levels.length,
      });
    });
    return {
      section,
      weight: sectionWeights[index] as bigint,
      from,
      to: cells.length,
      cellWeight: weights.reduce((sum, weight) => sum + weight, 0n),
      ladder: points.map(({ n, d }) => (n * pointParts) / d),
      lines: [
        {
          kind: "floor",
          item: null,
          at: fromDecimal(section.floor),
          cells: Array.from({ length: cells.length - from }, (_, at) => from + at),
        },
        ...mustShow,
      ],
      meets: points[isChecklist ? CHECKLIST_LEVELS - 1 : rubric.scale.meetsLevel - 1] as Rational,
    };
  });
  return {
    cells,
    sections,
    cellAt: new Map(cells.map(({ place }, at) => [placeKey(place), at])),
    pointParts,
    pass: passLine(rubric.pass),
  };
}

/** The points of a panel mark, on the straight line between its two neighbouring levels, in 1/(pointParts · LEVEL_PARTS) percent. */
export function pointsAt(ladder: readonly bigint[], parts: number): bigint {
  const level = Math.floor(parts / LEVEL_PARTS);
  const rest = parts - level * LEVEL_PARTS;
  const here = ladder[level - 1] as bigint;
  const points = here * BigInt(LEVEL_PARTS);
  return rest === 0 ? points : points + BigInt(rest) * ((ladder[level] as bigint) - here);
}
