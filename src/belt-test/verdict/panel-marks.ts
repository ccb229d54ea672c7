import type { PersonId } from "../../book/identity.ts";
import type { MarkedCells } from "../../ratings/severity/composites.ts";
import { toNumber } from "../exact/rational.ts";
import type { CandidateId, CriterionId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { type Mark, placeKey } from "../scorebook/cell.ts";
import { type Weighing, weighing } from "./weighing.ts";

/** One candidate's marks as they stood at lock, and the rubric they were given by. */
export interface MarkedCandidate {
  candidate: CandidateId;
  rubric: Rubric;
  marks: readonly Mark[];
}

/** Everybody's marks as columns, and who the places in them are. */
export interface PanelMarks {
  cells: MarkedCells;
  judges: readonly PersonId[];
  candidates: readonly CandidateId[];
  /** Criterion of each cell. */
  criteria: readonly CriterionId[];
  /** Performance of each cell: an item on one side, or what is marked once a section; cells of one performance have the same number. */
  performances: Int32Array;
  /** One for each mark: 1 where it was confirmed by “rest meets”. */
  isRest: Uint8Array;
}

/**
 * The marks of a test as judges' severity is reckoned from them: in levels, weighed as the rubrics weigh them.
 *
 * @param given every candidate with marks at lock; several rubrics may be mixed, each with cells of its own.
 * @returns judges by their ids, candidates as given. Checklists are left out (done is done), and so is whatever nobody saw or the rubric does not ask for.
 * @throws RangeError when somebody comes twice, or a judge marked a cell twice.
 */
export function panelMarks(given: readonly MarkedCandidate[]): PanelMarks {
  const judges = [...new Set(given.flatMap(({ marks }) => marks.map(({ judge }) => judge)))].sort();
  const placeOf = new Map(judges.map((judge, place) => [judge, place]));
  if (new Set(given.map(({ candidate }) => candidate)).size < given.length)
    throw new RangeError("panelMarks: a candidate comes twice");
  const firsts = new Map<Rubric, number>();
  const weights: number[] = [];
  const criteria: CriterionId[] = [];
  const performances: number[] = [];
  const performanceOf = new Map<string, number>();
  interface Row {
    who: number;
    judge: number;
    cell: number;
    level: number;
    rest: number;
  }
  const rows: Row[] = [];
  given.forEach(({ rubric, marks }, who) => {
    const whole = weighing(rubric);
    let first = firsts.get(rubric);
    if (first === undefined) {
      firsts.set(rubric, (first = weights.length));
      weights.push(...weightsOf(whole));
      criteria.push(...whole.cells.map(({ place }) => place.criterion));
      for (const { place } of whole.cells) {
        const key = `${first}/${place.section}/${place.item ?? ""}/${place.side ?? ""}`;
        const performance = performanceOf.get(key) ?? performanceOf.size;
        performanceOf.set(key, performance);
        performances.push(performance);
      }
    }
    const its: Row[] = [];
    for (const mark of marks) {
      const at = whole.cellAt.get(placeKey(mark));
      if (at === undefined || mark.level === "not-seen" || weights[first + at] === 0) continue;
      if (mark.level > (whole.cells[at] as Weighing["cells"][number]).top) continue;
      its.push({
        who,
        judge: placeOf.get(mark.judge) as number,
        cell: first + at,
        level: mark.level,
        rest: mark.how === "rest" ? 1 : 0,
      });
    }
    its.sort((a, b) => a.judge - b.judge || a.cell - b.cell);
    for (const row of its) rows.push(row);
  });
  return {
    cells: {
      judges: judges.length,
      candidates: given.length,
      candidate: Int32Array.from(rows, ({ who }) => who),
      judge: Int32Array.from(rows, ({ judge }) => judge),
      cell: Int32Array.from(rows, ({ cell }) => cell),
      level: Float64Array.from(rows, ({ level }) => level),
      weights: Float64Array.from(weights),
    },
    judges,
    candidates: given.map(({ candidate }) => candidate),
    criteria,
    performances: Int32Array.from(performances),
    isRest: Uint8Array.from(rows, ({ rest }) => rest),
  };
}

/** What each cell weighs in the whole, checklists aside: 0 there, and 1 all others together. */
function weightsOf({ cells, sections }: Weighing): number[] {
  const counting = sections.filter(({ section }) => section.marking !== "checklist");
  const all = counting.reduce((sum, { weight }) => sum + weight, 0n);
  return cells.map(({ section, weight }) => {
    const its = sections[section] as Weighing["sections"][number];
    if (its.section.marking === "checklist") return 0;
    return toNumber({ n: weight * its.weight, d: its.cellWeight * all });
  });
}
