import type { SectionId } from "../identity.ts";
import { placeKey } from "../scorebook/cell.ts";
import { flagKeys } from "./flag-keys.ts";
import { type PanelCell, withLevels } from "./panel-cells.ts";
import { cellsOf, leftOut, type Question, type Reconciled, ruleOf, without } from "./question.ts";
import type { Seen } from "./standing.ts";

/** Judges who declared a relation (own student, family) and marked: settled by letting their marks stand or striking them. Undeclared ones nobody can see. */
export function relations(reconciled: Reconciled): Question[] {
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

/** Cells where two tablets of one judge disagree: settled by any of the values. */
export function conflicts(reconciled: Reconciled): Question[] {
  const { weighing, cells, from } = reconciled;
  return from.conflicts.flatMap(({ judge, place, levels }): Question[] => {
    const index = weighing.cellAt.get(placeKey(place));
    if (index === undefined || !from.revealed.includes(place.section)) return [];
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

/** Marks outside their judge's lock, by judge and section: they count only when the chief says so. */
export function lateMarks(reconciled: Reconciled, section: SectionId): Question[] {
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
