import type { PersonId } from "../../book/identity.ts";
import { median } from "../../ratings/median.ts";
import { modifiedZ } from "../../ratings/modified-z.ts";
import { compared, fromDecimal, minus, toNumber } from "../exact/rational.ts";
import { passes } from "../rubric/pass-line.ts";
import { cellsOf, leftOut, type Posed, type Reconciled, widest } from "./question.ts";
import { questionKeys } from "./question-keys.ts";
import type { Standing } from "./standing.ts";
import type { Weighing } from "./weighing.ts";

/** Cells where two judges are as far apart as the rubric says they should talk. After the talk the cell may come to anything between them. */
export function levelGaps(reconciled: Reconciled, at: number): Posed[] {
  if (isAskedAsList(reconciled, at)) return [];
  const limit = reconciled.from.rubric.disagreement.levelGap;
  return cellsOf(reconciled, at).flatMap(({ index, place, cell }) => {
    const [low, high] = [Math.min(...cell.levels), Math.max(...cell.levels)];
    if (cell.levels.length < 2 || high - low < limit) return [];
    const judges = cell.judges.filter(
      (_, one) => cell.levels[one] === low || cell.levels[one] === high,
    );
    return [
      {
        question: {
          kind: "level-gap" as const,
          key: questionKeys.levelGap(place),
          ...place,
          judges,
          lower: cell.judges.filter((_, one) => cell.levels[one] === low),
          gap: high - low,
        },
        alternatives: widest([{ index, cell }]),
      },
    ];
  });
}

/** Books of before keep the questions they had. */
const isAskedAsList = ({ from, weighing }: Reconciled, at: number): boolean =>
  from.rules > 2 && weighing.sections[at]?.section.marking === "checklist";

/**
 * A list of which judges do not agree what was done: done and not done are as far apart as a list goes, and items that weigh little each may decide a result together.
 * One conversation, after which each of these items may be the one or the other.
 */
export function listSplits(reconciled: Reconciled, at: number): Posed[] {
  const { section } = reconciled.weighing.sections[at] as Weighing["sections"][number];
  if (!isAskedAsList(reconciled, at)) return [];
  const split = cellsOf(reconciled, at).filter(
    ({ cell: { levels } }) => Math.min(...levels) < Math.max(...levels),
  );
  if (split.length === 0) return [];
  const judges = [...new Set(split.flatMap(({ cell }) => cell.judges))].sort();
  return [
    {
      question: {
        kind: "list-split",
        key: questionKeys.listSplit(section.id),
        section: section.id,
        judges,
        cells: split.length,
      },
      alternatives: widest(split),
    },
  ];
}

/**
 * Overall judgements that go both ways, and a panel whose overall judgement (its median) the section's own score contradicts:
 * pass or strong below the floor, or clear retest at or above it.
 */
export function overalls(reconciled: Reconciled, at: number): Posed[] {
  const { from, standing } = reconciled;
  const { section, unmet, score } = standing.sections[at] as Standing["sections"][number];
  const met = unmet.length === 0;
  const given = from.overalls.filter((one) => one.section === section.section.id);
  if (given.length === 0) return [];
  const { id } = section.section;
  const found: Posed[] = [];
  // 1 is the retest side, 3 and 4 the pass side; “borderline” takes no side.
  const sides = given.filter(({ judgement }) => judgement !== 2);
  const judges = sides.map(({ judge }) => judge).sort();
  if (
    sides.some(({ judgement }) => judgement === 1) &&
    sides.some(({ judgement }) => judgement > 2)
  )
    found.push({
      question: { kind: "overall-split", key: questionKeys.overallSplit(id), section: id, judges },
      alternatives: widest(cellsOf(reconciled, at)),
    });
  const middle = median(given.map(({ judgement }) => judgement));
  if (score !== null && (met ? middle < 2 : middle >= 3))
    found.push({
      question: {
        kind: "overall-mismatch",
        key: questionKeys.overallMismatch(id),
        section: id,
        judges: given.map(({ judge }) => judge).sort(),
      },
      alternatives: [{ overruled: { sectionsMet: new Map([[id, !met]]) } }],
    });
  return found;
}

/** A judge must be this far from the panel's middle, on average over a section, before standing alone matters. In levels; ours. */
const ALONE_AT = 0.5;

/** Each judge's mean distance from the panel's middle mark over the section's shared cells; who is wild among those stands alone. */
export function loneDissents(reconciled: Reconciled, at: number): Posed[] {
  const { from } = reconciled;
  const cells = cellsOf(reconciled, at);
  const away = new Map<PersonId, { sum: number; count: number }>();
  for (const { cell } of cells) {
    if (cell.levels.length < 3) continue;
    const middle = median(cell.levels);
    for (const [place, judge] of cell.judges.entries()) {
      let its = away.get(judge);
      if (!its) away.set(judge, (its = { sum: 0, count: 0 }));
      its.sum += (cell.levels[place] as number) - middle;
      its.count++;
    }
  }
  const judges = [...away.keys()];
  const gaps = [...away.values()].map(({ sum, count }) => sum / count);
  const scores = modifiedZ(gaps);
  const { id } = (reconciled.weighing.sections[at] as Weighing["sections"][number]).section;
  return judges.flatMap((judge, place): Posed[] => {
    const gap = gaps[place] as number;
    if (
      Math.abs(gap) < ALONE_AT ||
      Math.abs(scores[place] as number) < from.rubric.disagreement.loneDissent
    )
      return [];
    return [
      {
        question: {
          kind: "lone-dissent",
          key: questionKeys.loneDissent(judge, id),
          section: id,
          judges: [judge],
          gap,
        },
        alternatives: [leftOut(reconciled, judge, cells)],
      },
    ];
  });
}

/** A total within the band around the pass mark: a second look may fall on either side. A band of 0 asks for none. */
export function borderline({ from, standing: { total, computed }, weighing }: Reconciled): Posed[] {
  const band = fromDecimal(from.rubric.disagreement.borderlineBand);
  if (total === null || computed === "incomplete" || band.n === 0n) return [];
  const away = minus(total, fromDecimal(from.rubric.pass.mark));
  const size = away.n < 0n ? { n: -away.n, d: away.d } : away;
  if (compared(size, band) > 0) return [];
  return [
    {
      question: { kind: "borderline", key: questionKeys.borderline(), gap: toNumber(away) },
      alternatives: [{ overruled: { totalPasses: !passes(total, weighing.pass) } }],
    },
  ];
}
