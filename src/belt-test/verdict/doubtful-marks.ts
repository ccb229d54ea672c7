import type { SectionId } from "../identity.ts";
import { placeKey } from "../scorebook/cell.ts";
import { type PanelCell, withLevels } from "./panel-cells.ts";
import { cellsOf, leftOut, type Posed, type Reconciled, ruleOf, without } from "./question.ts";
import { questionKeys } from "./question-keys.ts";
import type { Seen } from "./standing.ts";

/** Judges who declared a relation (own student, family) and marked: settled by letting their marks stand or striking them. Undeclared ones nobody can see. */
export function relations(reconciled: Reconciled): Posed[] {
  const all = reconciled.weighing.sections.flatMap((_, at) => cellsOf(reconciled, at));
  return reconciled.from.relations.flatMap(({ judge }): Posed[] => {
    const alternative = leftOut(reconciled, judge, all);
    return alternative.cells?.size
      ? [
          {
            question: { kind: "relation", key: questionKeys.relation(judge), judges: [judge] },
            alternatives: [alternative],
          },
        ]
      : [];
  });
}

/** Cells where two tablets of one judge disagree: settled by any of the values. */
export function conflicts(reconciled: Reconciled): Posed[] {
  const { weighing, cells, from } = reconciled;
  return from.conflicts.flatMap(({ judge, place, levels }): Posed[] => {
    const index = weighing.cellAt.get(placeKey(place));
    if (index === undefined || !from.revealed.includes(place.section)) return [];
    const others = without(cells[index] as PanelCell, judge);
    return [
      {
        question: {
          kind: "conflict",
          key: questionKeys.conflict(judge, place),
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
export function lateMarks(reconciled: Reconciled, section: SectionId): Posed[] {
  const { weighing, cells, from } = reconciled;
  const late = from.late.filter(({ place }) => place.section === section);
  return [...new Set(late.map(({ judge }) => judge))].sort().map((judge): Posed => {
    const changed = new Map<number, Seen>();
    for (const { judge: who, place, level } of late) {
      const index = weighing.cellAt.get(placeKey(place));
      if (who !== judge || index === undefined) continue;
      const others = without(cells[index] as PanelCell, judge);
      changed.set(index, withLevels(others, level === null ? [] : [level], ruleOf(reconciled)));
    }
    return {
      question: {
        kind: "late",
        key: questionKeys.late(judge, section),
        section,
        judges: [judge],
        cells: changed.size,
      },
      alternatives: [{ cells: changed }],
    };
  });
}
