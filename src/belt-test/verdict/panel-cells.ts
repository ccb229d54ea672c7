import type { PersonId } from "../../book/identity.ts";
import type { Combining } from "../../ratings/combinings.ts";
import { type Combined, LEVEL_PARTS, panelMark } from "../../ratings/panel-mark.ts";
import { type Mark, placeKey } from "../scorebook/cell.ts";
import type { PanelMark } from "./outcome.ts";
import type { Seen } from "./standing.ts";
import type { Weighing } from "./weighing.ts";

/** The marks of one cell, by judge's id. */
export interface PanelCell {
  judges: readonly PersonId[];
  levels: readonly number[];
  combined: Combined | null;
}

/**
 * The marks of a candidate, cell by cell, and what each cell comes to.
 *
 * `not-seen` counts for nobody. A mark for a place the candidate's rubric does not ask for (an excused item, another rubric's),
 * or of a level the scale does not have, is no mark: who lets such entries in is the business of permit/, not the arithmetic's.
 */
export function panelCells(
  weighing: Weighing,
  marks: readonly Mark[],
  rule: Combining,
): PanelCell[] {
  const judges: PersonId[][] = weighing.cells.map(() => []);
  const levels: number[][] = weighing.cells.map(() => []);
  for (const mark of marks) {
    if (mark.level === "not-seen") continue;
    const at = weighing.cellAt.get(placeKey(mark));
    if (at === undefined || mark.level > (weighing.cells[at] as Weighing["cells"][number]).top)
      continue;
    const [who, what] = [judges[at] as PersonId[], levels[at] as number[]];
    // Judges in order of their ids, so that nothing depends on whose marks came first.
    let place = who.length;
    while (place > 0 && (who[place - 1] as PersonId) > mark.judge) place--;
    if (place === who.length) {
      who.push(mark.judge);
      what.push(mark.level);
    } else {
      who.splice(place, 0, mark.judge);
      what.splice(place, 0, mark.level);
    }
  }
  return judges.map((who, at) => {
    const what = levels[at] as number[];
    return { judges: who, levels: what, combined: what.length > 0 ? panelMark(what, rule) : null };
  });
}

export const seenOf = (cell: PanelCell | undefined): Seen => cell?.combined?.parts ?? null;

/** What the cell would come to without some judge; null when nobody else saw it. */
export function withoutJudge(
  { judges, levels }: PanelCell,
  judge: PersonId,
  rule: Combining,
): Seen {
  const others = levels.filter((_, place) => judges[place] !== judge);
  return others.length > 0 ? panelMark(others, rule).parts : null;
}

/** What the cell would come to with these marks besides; null when there are none at all. */
export function withLevels({ levels }: PanelCell, more: readonly number[], rule: Combining): Seen {
  const all = [...levels, ...more];
  return all.length > 0 ? panelMark(all, rule).parts : null;
}

export function asPanelMarks(weighing: Weighing, cells: readonly PanelCell[]): PanelMark[] {
  return cells.flatMap(({ judges, combined }, at) => {
    if (!combined) return [];
    const { parts, used } = combined;
    const { place } = weighing.cells[at] as Weighing["cells"][number];
    return [
      {
        ...place,
        level: parts / LEVEL_PARTS,
        exact: levelText(parts),
        judges,
        used: used.length === judges.length ? judges : used.map((one) => judges[one] as PersonId),
      },
    ];
  });
}

const written = new Map<number, string>();
/** "3" or "8/3": the few values panels come to are written once. */
function levelText(parts: number): string {
  let text = written.get(parts);
  if (text === undefined) {
    let [a, b] = [parts, LEVEL_PARTS];
    while (b) [a, b] = [b, a % b];
    text = a === LEVEL_PARTS ? `${parts / a}` : `${parts / a}/${LEVEL_PARTS / a}`;
    if (written.size < 10_000) written.set(parts, text);
  }
  return text;
}
