import type { CriterionId, FaultId } from "../identity.ts";
import { type FaultLibrary, practiceFor, type SeenFault } from "../rubric/fault-library.ts";
import type { Rubric, Side, TechniqueGroup } from "../rubric/rubric.ts";
import type { Evidence, Trace } from "./evidence.ts";

/** Where a line was seen: the name of a technique or section, and the side if only one side is meant. */
interface Where {
  title: string;
  side: Side | null;
}

/**
 * One line of the sheet, before it has words. It holds no number, so no page made of it can show one.
 * `strong`: the top level was tapped. `met-all`: techniques that met the standard in everything asked. `met`: one criterion that did.
 * `done`: things of a checklist that were done. `below`: to practise. `not-done`: still to show. `grow`: met, and could be stronger.
 */
export interface Line {
  /** Names the line for as long as it is true, so that a chief can choose it. */
  key: string;
  kind: "strong" | "met-all" | "met" | "done" | "below" | "not-done" | "grow";
  group: TechniqueGroup;
  /** The criterion's title; null where the line is about whole techniques or a checklist. */
  criterion: string | null;
  where: readonly Where[];
  /** What was strong, in the library's words; null where the library has none. */
  praise: string | null;
  /** The fault seen most, in the library's words. A child's sheet has only the cue. */
  seen: string | null;
  cue: string | null;
  practice: string | null;
  /** Never empty. */
  traces: readonly Trace[];
}

/** A line and what decides between lines; the numbers stay here. */
export interface RankedLine {
  line: Line;
  criterionId: CriterionId | null;
  /** Higher first: how much of the test it is about, times how far from *Meets*. */
  rank: number;
  /** The place in the rubric's order, which settles ties. */
  place: number;
}

export interface LineContext {
  rubric: Rubric;
  library: FaultLibrary;
  /** All that was seen, in the rubric's order. */
  all: readonly Evidence[];
}

/** What kind of technique a place is about; a criterion marked once a section takes its first item's. */
export const groupAt = ({ item, section }: Evidence): TechniqueGroup =>
  item?.group ?? section.items[0]?.group ?? "knowledge";

/** Sums of fractions that are equal differ in their last digits, which must not settle a tie. */
const withoutLastDigits = (rank: number): number => Math.round(rank * 1e9) / 1e9;

/** One line over several places of one criterion and one kind of technique. */
export function lineOver(
  context: LineContext,
  kind: Line["kind"],
  places: readonly Evidence[],
  worth: (place: Evidence) => number,
): RankedLine | undefined {
  const [first] = places;
  if (!first) return undefined;
  const { rubric, library, all } = context;
  const isJunior = rubric.audience === "junior";
  const group = groupAt(first);
  const isWhole = kind === "met-all" || kind === "done" || kind === "not-done";
  const practice = practiceFor(library, first.criterion, group);
  const isPraise = kind === "strong" || kind === "met-all" || kind === "met" || kind === "done";
  const fault = isPraise ? undefined : mostSeen(library, places);
  return {
    criterionId: kind === "met-all" ? null : first.criterion,
    rank: withoutLastDigits(places.reduce((rank, place) => rank + place.share * worth(place), 0)),
    place: all.indexOf(first),
    line: {
      key: [kind, ...(kind === "met-all" ? [] : [first.criterion]), group, fault?.id ?? []]
        .flat()
        .join("/"),
      kind,
      group,
      criterion: isWhole ? null : titleOf(rubric, first.criterion),
      where: whereOf(places, all),
      praise:
        kind === "strong" ? ((isJunior ? practice?.childStrong : practice?.strong) ?? null) : null,
      seen: isJunior ? null : (fault?.fault ?? null),
      cue: isPraise
        ? null
        : isJunior
          ? (fault?.childCue ?? practice?.childCue ?? null)
          : (fault?.cue ?? practice?.cue ?? null),
      practice: isPraise
        ? null
        : ((isJunior ? practice?.childPractice : practice?.practice) ?? null),
      traces: places.flatMap(({ traces }) =>
        traces.filter((trace) => trace.kind === "mark" || !isPraise),
      ),
    },
  };
}

/** The fault that most judges saw; of equals the library's first. */
export function mostSeen(
  library: FaultLibrary,
  places: readonly Evidence[],
): SeenFault | undefined {
  const tally = new Map<FaultId, number>();
  for (const { faults } of places)
    for (const [fault, judges] of faults) tally.set(fault, (tally.get(fault) ?? 0) + judges);
  let most: SeenFault | undefined;
  for (const fault of library.faults)
    if ((tally.get(fault.id) ?? 0) > (most ? (tally.get(most.id) ?? 0) : 0)) most = fault;
  return most;
}

/** Each name once. The side is said where the other side was seen and is not meant. */
function whereOf(places: readonly Evidence[], all: readonly Evidence[]): Where[] {
  const found: Where[] = [];
  for (const { section, item, side, criterion } of places) {
    const title = item?.title ?? section.title;
    if (found.some((where) => where.title === title)) continue;
    const isMine = (other: Evidence) =>
      other.section === section && other.item === item && other.criterion === criterion;
    const isOneSided = places.filter(isMine).length < all.filter(isMine).length;
    found.push({ title, side: isOneSided ? side : null });
  }
  return found;
}

const titleOf = (rubric: Rubric, id: CriterionId): string | null =>
  rubric.criteria.find((criterion) => criterion.id === id)?.title ?? null;
