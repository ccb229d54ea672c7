import type { PersonId } from "../../book/identity.ts";
import { LEVEL_PARTS } from "../../ratings/panel-mark.ts";
import type { CriterionId, FaultId, ItemId, SectionId } from "../identity.ts";
import { itemOf, levelsAt, meetsLevelAt } from "../rubric/lookup.ts";
import type { Item, Rubric, Section, Side } from "../rubric/rubric.ts";
import { type Mark, type Place, placeKey } from "../scorebook/cell.ts";
import type { FaultsSeen } from "../scorebook/marks.ts";
import { panelCells, seenOf } from "../verdict/panel-cells.ts";
import { pointsAt, weighing } from "../verdict/weighing.ts";

/** What a line of the sheet rests on: one judge's mark, or one fault that a judge saw. Never its level. */
export interface Trace {
  kind: "mark" | "fault";
  judge: PersonId;
  section: SectionId;
  item: ItemId | null;
  side: Side | null;
  criterion: CriterionId;
  /** The fault seen; null for a mark. */
  fault: FaultId | null;
}

/** What the judges saw at one place. */
export interface Evidence {
  section: Section;
  item: Item | null;
  side: Side | null;
  criterion: CriterionId;
  /** The panel mark here, by the rubric's own rule, compared with *Meets*, exactly. */
  standing: "above" | "meets" | "below";
  /** Somebody tapped the top level for this very place. */
  hasTappedTop: boolean;
  /** The panel mark in points, 0–100, and the points of *Meets* and of the top level. */
  points: number;
  meetsPoints: number;
  topPoints: number;
  /** This place's part of the whole test, 0–1, excused items left out. */
  share: number;
  /** Faults seen here, by how many judges. */
  faults: ReadonlyMap<FaultId, number>;
  traces: readonly Trace[];
}

/**
 * What was seen of one candidate, place by place, in the rubric's order: what each place comes to by the panel's rule, as the outcome has it.
 *
 * @param marks  every judge's; `not-seen` says nothing. Their order never matters.
 * @param excused  items this candidate does not do: nothing is said of them, whatever was marked, and their weight goes to the others.
 * @returns only places that at least one judge saw: blank is blank. Marks the rubric does not ask for are left out.
 */
export function evidence(
  rubric: Rubric,
  marks: readonly Mark[],
  faults: readonly FaultsSeen[],
  excused: readonly ItemId[] = [],
): Evidence[] {
  const weighed = weighing(rubric, excused);
  const marksAt = byPlace(marks);
  const faultsAt = byPlace(faults);
  const counting = weighed.sections.filter(({ from, to }) => from < to);
  const whole = sum(counting.map(({ weight }) => Number(weight)));
  const unit = Number(weighed.pointParts) * LEVEL_PARTS;
  const cells = panelCells(weighed, marks, rubric.panel.combine);
  return counting.flatMap(({ section, weight, from, to, cellWeight, ladder }) => {
    const most = levelsAt(rubric, section);
    const meets = meetsLevelAt(rubric, section) * LEVEL_PARTS;
    const points = (parts: number) => Number(pointsAt(ladder, parts)) / unit;
    return weighed.cells.slice(from, to).flatMap((cell, at): Evidence[] => {
      const parts = seenOf(cells[from + at]);
      if (parts === null) return [];
      const { place } = cell;
      const key = placeKey(place);
      const there = faultsAt.get(key) ?? [];
      const seen = (marksAt.get(key) ?? []).filter(
        ({ level }) => typeof level === "number" && level <= most,
      );
      return [
        {
          section,
          item: place.item === null ? null : (itemOf(section, place.item) ?? null),
          side: place.side,
          criterion: place.criterion,
          standing: parts > meets ? "above" : parts < meets ? "below" : "meets",
          hasTappedTop: seen.some(({ level, how }) => level === most && how === "tapped"),
          points: points(parts),
          meetsPoints: points(meets),
          topPoints: points(most * LEVEL_PARTS),
          share: (Number(weight) / whole) * (Number(cell.weight) / Number(cellWeight)),
          faults: tallyOf(there),
          traces: [
            ...seen.map(({ judge }): Trace => ({ kind: "mark", judge, ...place, fault: null })),
            ...there.flatMap(({ judge, faults: ids }) =>
              ids.map((fault): Trace => ({ kind: "fault", judge, ...place, fault })),
            ),
          ].sort(byTrace),
        },
      ];
    });
  });
}

function tallyOf(faults: readonly FaultsSeen[]): Map<FaultId, number> {
  const tally = new Map<FaultId, number>();
  for (const fault of faults.flatMap((one) => [...new Set(one.faults)]))
    tally.set(fault, (tally.get(fault) ?? 0) + 1);
  return tally;
}

function byPlace<T extends Place>(list: readonly T[]): Map<string, T[]> {
  const found = new Map<string, T[]>();
  for (const one of list) {
    const key = placeKey(one);
    const there = found.get(key);
    if (there) there.push(one);
    else found.set(key, [one]);
  }
  return found;
}

const byTrace = (a: Trace, b: Trace): number => order(traceKey(a), traceKey(b));
const traceKey = ({ kind, judge, fault }: Trace): string =>
  `${kind === "mark" ? 0 : 1} ${judge} ${fault}`;
const order = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
const sum = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0);
