import { compared, fromDecimal, minus, toNumber } from "../exact/rational.ts";
import type { PersonId, SectionId } from "../identity.ts";
import { median } from "../panel/median.ts";
import { modifiedZ } from "../panel/modified-z.ts";
import { LEVEL_PARTS } from "../panel/panel-mark.ts";
import { type Place, placeKey } from "../scorebook/cell.ts";
import { flagKeys } from "./flag-keys.ts";
import type { CandidateCase, Flag } from "./outcome.ts";
import { type PanelCell, withLevels, withoutJudge } from "./panel-cells.ts";
import type { Overruled, Seen, Standing } from "./standing.ts";
import { passes, type Weighing } from "./weighing.ts";

/** One way a question may be settled: cells that would come to something else, or what would be overruled. */
export interface Alternative {
  cells?: ReadonlyMap<number, Seen>;
  overruled?: Overruled;
}
/** A flag before its effect is known, with the ways it may be settled. */
export interface Question {
  flag: Omit<Flag, "effect" | "isSettled" | "swing" | "flips">;
  alternatives: readonly Alternative[];
}

export interface Reconciled {
  from: CandidateCase;
  weighing: Weighing;
  cells: readonly PanelCell[];
  standing: Standing;
}

/** A judge must be this far from the panel's middle, on average over a section, before standing alone matters. In levels; ours. */
const ALONE_AT = 0.5;

/** Every question a candidate's marks raise, in sections whose marks are open. */
export function questions(reconciled: Reconciled): Question[] {
  const { from } = reconciled;
  if (["absent", "unfit", "withdrawn"].includes(from.presence)) return [];
  const found: Question[] = [];
  for (const [at, { section, from: first, to }] of reconciled.weighing.sections.entries()) {
    if (first === to || !from.revealed.includes(section.id)) continue;
    found.push(
      ...unseen(reconciled, at),
      ...noQuorum(reconciled, at),
      ...blanks(reconciled, at),
      ...overalls(reconciled, at),
      ...loneDissents(reconciled, at),
      ...levelGaps(reconciled, at),
      ...lateMarks(reconciled, section.id),
    );
  }
  found.push(...relations(reconciled), ...conflicts(reconciled), ...borderline(reconciled));
  return found;
}

function cellsOf(
  { weighing, cells }: Reconciled,
  at: number,
): { index: number; place: Place; top: number; cell: PanelCell }[] {
  const { from, to } = weighing.sections[at] as Weighing["sections"][number];
  return Array.from({ length: to - from }, (_, offset) => {
    const index = from + offset;
    const { place, top } = weighing.cells[index] as Weighing["cells"][number];
    return { index, place, top, cell: cells[index] as PanelCell };
  });
}

const ruleOf = ({ from }: Reconciled) => from.rubric.panel.combine;

/** A cell may come to anything between its judges' lowest and highest mark. */
function widest(cells: { index: number; cell: PanelCell }[]): Alternative[] {
  const marked = cells.filter(({ cell }) => cell.levels.length > 0);
  const bound = (end: (...levels: number[]) => number) => ({
    cells: new Map(marked.map(({ index, cell }) => [index, end(...cell.levels) * LEVEL_PARTS])),
  });
  return [bound(Math.min), bound(Math.max)];
}

function levelGaps(reconciled: Reconciled, at: number): Question[] {
  const limit = reconciled.from.rubric.disagreement.levelGap;
  return cellsOf(reconciled, at).flatMap(({ index, place, cell }) => {
    const [low, high] = [Math.min(...cell.levels), Math.max(...cell.levels)];
    if (cell.levels.length < 2 || high - low < limit) return [];
    const judges = cell.judges.filter(
      (_, one) => cell.levels[one] === low || cell.levels[one] === high,
    );
    return [
      {
        flag: {
          kind: "level-gap" as const,
          key: flagKeys.levelGap(place),
          ...place,
          judges,
          gap: high - low,
        },
        alternatives: widest([{ index, cell }]),
      },
    ];
  });
}

function overalls(reconciled: Reconciled, at: number): Question[] {
  const { from, standing } = reconciled;
  const { section, met, score } = standing.sections[at] as Standing["sections"][number];
  const given = from.overalls.filter((one) => one.section === section.section.id);
  if (given.length === 0) return [];
  const { id } = section.section;
  const found: Question[] = [];
  // 1 is the retest side, 3 and 4 the pass side; “borderline” takes no side.
  const sides = given.filter(({ judgement }) => judgement !== 2);
  const judges = sides.map(({ judge }) => judge).sort();
  if (
    sides.some(({ judgement }) => judgement === 1) &&
    sides.some(({ judgement }) => judgement > 2)
  )
    found.push({
      flag: { kind: "overall-split", key: flagKeys.overallSplit(id), section: id, judges },
      alternatives: widest(cellsOf(reconciled, at)),
    });
  const middle = median(given.map(({ judgement }) => judgement));
  if (score !== null && (met ? middle < 2 : middle >= 3))
    found.push({
      flag: {
        kind: "overall-mismatch",
        key: flagKeys.overallMismatch(id),
        section: id,
        judges: given.map(({ judge }) => judge).sort(),
      },
      alternatives: [{ overruled: { sectionMet: { section: id, met: !met } } }],
    });
  return found;
}

/** Each judge's mean distance from the panel's middle mark over the section's shared cells; who is wild among those stands alone. */
function loneDissents(reconciled: Reconciled, at: number): Question[] {
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
  return judges.flatMap((judge, place): Question[] => {
    const gap = gaps[place] as number;
    if (
      Math.abs(gap) < ALONE_AT ||
      Math.abs(scores[place] as number) < from.rubric.disagreement.loneDissent
    )
      return [];
    return [
      {
        flag: {
          kind: "lone-dissent",
          key: flagKeys.loneDissent(judge, id),
          section: id,
          judges: [judge],
          gap,
        },
        alternatives: [leftOut(reconciled, judge, cells)],
      },
    ];
  });
}

function leftOut(
  reconciled: Reconciled,
  judge: PersonId,
  cells: { index: number; cell: PanelCell }[],
): Alternative {
  const touched = cells.filter(({ cell }) => cell.judges.includes(judge));
  return {
    cells: new Map(
      touched.map(({ index, cell }) => [index, withoutJudge(cell, judge, ruleOf(reconciled))]),
    ),
  };
}

function relations(reconciled: Reconciled): Question[] {
  const all = reconciled.weighing.sections.flatMap((_, at) => cellsOf(reconciled, at));
  return reconciled.from.relations.flatMap(({ judge }): Question[] => {
    const alternative = leftOut(reconciled, judge, all);
    return alternative.cells?.size
      ? [
          {
            flag: { kind: "relation", key: flagKeys.relation(judge), judges: [judge] },
            alternatives: [alternative],
          },
        ]
      : [];
  });
}

function noQuorum(reconciled: Reconciled, at: number): Question[] {
  const { quorum } = reconciled.from.rubric.panel;
  const short = cellsOf(reconciled, at).filter(({ cell }) => cell.levels.length < quorum);
  const [first] = short;
  if (!first) return [];
  const { section } = first.place;
  const isOneItem = short.every(({ place }) => place.item === first.place.item);
  return [
    {
      flag: {
        kind: "no-quorum",
        key: flagKeys.noQuorum(section),
        section,
        ...(isOneItem ? { item: first.place.item } : {}),
        cells: short.length,
      },
      alternatives: filled(
        reconciled,
        short.map(({ index, cell, top }) => ({
          index,
          cell,
          top,
          missing: quorum - cell.levels.length,
        })),
      ),
    },
  ];
}

/** The lowest and the highest that missing marks could make of their cells. */
function filled(
  reconciled: Reconciled,
  short: { index: number; cell: PanelCell; top: number; missing: number }[],
): Alternative[] {
  const rule = ruleOf(reconciled);
  return [() => 1, (top: number) => top].map((level) => ({
    cells: new Map(
      short.map(({ index, cell, top, missing }) => [
        index,
        withLevels(
          cell,
          Array.from({ length: missing }, () => level(top)),
          rule,
        ),
      ]),
    ),
  }));
}

function unseen(reconciled: Reconciled, at: number): Question[] {
  const { section, score, mustShowUnseen } = reconciled.standing.sections[
    at
  ] as Standing["sections"][number];
  if (score !== null && mustShowUnseen.length === 0) return [];
  const blank = cellsOf(reconciled, at).filter(({ cell }) => cell.levels.length === 0);
  const [item] = mustShowUnseen;
  return [
    {
      flag: {
        kind: "unseen",
        key: flagKeys.unseen(section.section.id),
        section: section.section.id,
        ...(score !== null && item ? { item } : {}),
        cells: blank.length,
      },
      alternatives: filled(
        reconciled,
        blank.map((one) => ({ ...one, missing: 1 })),
      ),
    },
  ];
}

/** Who has locked and said nothing of an assigned cell, not even “not seen”. */
function blanks(reconciled: Reconciled, at: number): Question[] {
  const { from } = reconciled;
  const cells = cellsOf(reconciled, at);
  const section = (reconciled.weighing.sections[at] as Weighing["sections"][number]).section.id;
  const assigned = from.judges.filter((one) => one.section === section && one.hasLocked);
  if (assigned.length === 0) return [];
  const notSeen = new Set(
    from.marks.flatMap((mark) =>
      mark.section === section && mark.level === "not-seen"
        ? [`${mark.judge}/${placeKey(mark)}`]
        : [],
    ),
  );
  return assigned.flatMap(({ judge, items, criteria }): Question[] => {
    const blank = cells.filter(
      ({ place, cell }) =>
        !cell.judges.includes(judge) &&
        (!items || place.item === null || items.includes(place.item)) &&
        (!criteria || criteria.includes(place.criterion)) &&
        !notSeen.has(`${judge}/${placeKey(place)}`),
    );
    if (blank.length === 0) return [];
    return [
      {
        flag: {
          kind: "blank",
          key: flagKeys.blank(judge, section),
          section,
          judges: [judge],
          cells: blank.length,
        },
        alternatives: filled(
          reconciled,
          blank.map((one) => ({ ...one, missing: 1 })),
        ),
      },
    ];
  });
}

function conflicts(reconciled: Reconciled): Question[] {
  const { weighing, cells, from } = reconciled;
  return from.conflicts.flatMap(({ judge, place, levels }): Question[] => {
    const index = weighing.cellAt.get(placeKey(place));
    if (index === undefined) return [];
    const others = without(cells[index] as PanelCell, judge);
    return [
      {
        flag: {
          kind: "conflict",
          key: flagKeys.conflict(judge, place),
          ...place,
          judges: [judge],
          gap: levels.length > 1 ? Math.max(...levels) - Math.min(...levels) : 0,
        },
        alternatives: levels.map((level) => ({
          cells: new Map([[index, withLevels(others, [level], ruleOf(reconciled))]]),
        })),
      },
    ];
  });
}

function lateMarks(reconciled: Reconciled, section: SectionId): Question[] {
  const { weighing, cells, from } = reconciled;
  const late = from.late.filter(({ place }) => place.section === section);
  return [...new Set(late.map(({ judge }) => judge))].sort().map((judge): Question => {
    const changed = new Map<number, Seen>();
    for (const { judge: who, place, level } of late) {
      const index = weighing.cellAt.get(placeKey(place));
      if (who !== judge || index === undefined) continue;
      const others = without(cells[index] as PanelCell, judge);
      changed.set(index, withLevels(others, level === null ? [] : [level], ruleOf(reconciled)));
    }
    return {
      flag: {
        kind: "late",
        key: flagKeys.late(judge, section),
        section,
        judges: [judge],
        cells: changed.size,
      },
      alternatives: [{ cells: changed }],
    };
  });
}

function without({ judges, levels }: PanelCell, judge: PersonId): PanelCell {
  return {
    judges: judges.filter((one) => one !== judge),
    levels: levels.filter((_, place) => judges[place] !== judge),
    combined: null,
  };
}

function borderline({ from, standing: { total, computed }, weighing }: Reconciled): Question[] {
  const band = fromDecimal(from.rubric.disagreement.borderlineBand);
  if (total === null || computed === "incomplete" || band.n === 0n) return [];
  const away = minus(total, fromDecimal(from.rubric.pass.mark));
  const size = away.n < 0n ? { n: -away.n, d: away.d } : away;
  if (compared(size, band) > 0) return [];
  return [
    {
      flag: { kind: "borderline", key: flagKeys.borderline(), gap: toNumber(away) },
      alternatives: [{ overruled: { totalPasses: !passes(total, weighing.pass) } }],
    },
  ];
}
