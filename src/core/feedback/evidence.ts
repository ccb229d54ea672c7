import type { CriterionId, FaultId, ItemId, PersonId, SectionId } from "../identity.ts";
import { criteriaAt, levelsAt, markedSides, meetsLevelAt } from "../rubric/lookup.ts";
import type { Item, Rubric, Section } from "../rubric/rubric.ts";
import { type Mark, type Place, placeKey } from "../scorebook/cell.ts";
import type { Side } from "../scorebook/entry.ts";
import type { FaultsSeen } from "../scorebook/scorebook.ts";

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
  /** The judges' levels here compared with *Meets*, together: the mean, exactly. */
  standing: "above" | "meets" | "below";
  /** Somebody tapped the top level for this very place. */
  hasTappedTop: boolean;
  /** Mean of the judges' marks in points, 0–100, and the points of *Meets* and of the top level. */
  points: number;
  meetsPoints: number;
  topPoints: number;
  /** This place's part of the whole test, 0–1. */
  share: number;
  /** Faults seen here, by how many judges. */
  faults: ReadonlyMap<FaultId, number>;
  traces: readonly Trace[];
}

/**
 * What was seen of one candidate, place by place, in the rubric's order.
 *
 * @param marks  every judge's; `not-seen` says nothing. Their order never matters.
 * @returns only places that at least one judge saw: blank is blank. Marks the rubric does not ask for are left out.
 */
export function evidence(
  rubric: Rubric,
  marks: readonly Mark[],
  faults: readonly FaultsSeen[],
): Evidence[] {
  const marksAt = byPlace(marks);
  const faultsAt = byPlace(faults);
  return placesOf(rubric).flatMap(({ place, ...rest }) => {
    const key = placeKey(place);
    return seenAt(rubric, rest, place, marksAt.get(key) ?? [], faultsAt.get(key) ?? []);
  });
}

function seenAt(
  rubric: Rubric,
  at: { section: Section; item: Item | null; share: number },
  place: Place,
  marks: readonly Mark[],
  faults: readonly FaultsSeen[],
): Evidence[] {
  const most = levelsAt(rubric, at.section);
  const meets = meetsLevelAt(rubric, at.section);
  const seen = marks.filter(({ level }) => typeof level === "number" && level <= most);
  if (seen.length === 0) return [];
  const levels = seen.map(({ level }) => Number(level));
  const above = sum(levels) - meets * levels.length;
  const points = (level: number) => pointsAt(rubric, at.section, level);
  const tally = new Map<FaultId, number>();
  for (const fault of faults.flatMap((seenFaults) => [...new Set(seenFaults.faults)]))
    tally.set(fault, (tally.get(fault) ?? 0) + 1);
  return [
    {
      ...at,
      side: place.side,
      criterion: place.criterion,
      standing: above > 0 ? "above" : above < 0 ? "below" : "meets",
      hasTappedTop: seen.some(({ level, how }) => level === most && how === "tapped"),
      // Levels in order, so that the order of judges cannot change the last digit of the sum.
      points: sum(levels.sort((a, b) => a - b).map(points)) / levels.length,
      meetsPoints: points(meets),
      topPoints: points(most),
      faults: tally,
      traces: [
        ...seen.map(({ judge }): Trace => ({ kind: "mark", judge, ...place, fault: null })),
        ...faults.flatMap(({ judge, faults: ids }) =>
          ids.map((fault): Trace => ({ kind: "fault", judge, ...place, fault })),
        ),
      ].sort(byTrace),
    },
  ];
}

/** Every place of the rubric, with its part of the whole test. */
function placesOf(
  rubric: Rubric,
): { place: Place; section: Section; item: Item | null; share: number }[] {
  const whole = sum(rubric.sections.map(({ weight }) => weight));
  const weightOf = (id: CriterionId) => rubric.criteria.find((one) => one.id === id)?.weight ?? 1;
  return rubric.sections.flatMap((section) => {
    const parts: (Item | null)[] = section.onceASection ? [...section.items, null] : section.items;
    const weightOfPart = (item: Item | null) => item?.weight ?? section.onceASection?.weight ?? 0;
    const partWeights = sum(parts.map(weightOfPart));
    return parts.flatMap((item) => {
      const criteria = criteriaAt(section, item);
      const criterionWeights = sum(criteria.map(weightOf));
      const sides = markedSides(item);
      return sides.flatMap((side) =>
        criteria.map((criterion) => ({
          place: { section: section.id, item: item?.id ?? null, side, criterion },
          section,
          item,
          share:
            ((section.weight / whole) * (weightOfPart(item) / partWeights) * weightOf(criterion)) /
            criterionWeights /
            sides.length,
        })),
      );
    });
  });
}

/** A checklist's two levels are worth nothing and everything. */
const pointsAt = (rubric: Rubric, section: Section, level: number): number =>
  section.marking === "checklist"
    ? level > 1
      ? 100
      : 0
    : (rubric.scale.levels[level - 1]?.points ?? 0);

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
