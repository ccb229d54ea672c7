import { DONE } from "../rubric/rubric.ts";
import type { Evidence } from "./evidence.ts";
import { groupAt, type LineContext, lineOver, mostSeen, type RankedLine } from "./line.ts";

/** All that could truly be said of what was good, best first: strong, then met, then done. */
export function praiseLines(context: LineContext): RankedLine[] {
  const { all } = context;
  const marked = all.filter(({ criterion }) => criterion !== DONE);
  const isStrong = (place: Evidence) => place.hasTappedTop && place.standing === "above";
  const strong = linesOver(context, "strong", marked.filter(isStrong), aboveMeets);
  const below = new Set(marked.filter(isBelow).map(subject));
  const isMixed = ({ line, criterionId }: RankedLine) => below.has(`${criterionId}/${line.group}`);
  const met = marked.filter((place) => !isStrong(place) && !isBelow(place));
  const done = all.filter((place) => place.criterion === DONE && !isBelow(place));
  return [
    // What was strong here and missed there reads like a contradiction: it comes after what was strong throughout.
    ...strong.filter((line) => !isMixed(line)),
    ...strong.filter(isMixed),
    ...wholeTechniques(context, marked),
    ...linesOver(context, "met", met, () => 1),
    ...linesOver(context, "done", done, () => 1),
  ];
}

/**
 * All that could be practised: techniques first, then what is still to show of a checklist, each weightiest first.
 * Where nothing was below *Meets*, what could still grow. Places with the same fault are one line, so that what is said of
 * a technique was seen in that technique.
 */
export function nextLines(context: LineContext): RankedLine[] {
  const isChecked = ({ criterion }: Evidence) => criterion === DONE;
  const subjectOf = (place: Evidence) =>
    [subject(place), mostSeen(context.library, [place])?.id].join("/");
  const below = context.all.filter(isBelow);
  if (below.length === 0)
    return linesOver(
      context,
      "grow",
      context.all.filter((place) => !isChecked(place) && place.points < place.topPoints),
      ({ points, topPoints }) => topPoints - points,
      subjectOf,
    );
  const shortfall = ({ points, meetsPoints }: Evidence) => meetsPoints - points;
  return [
    ...linesOver(
      context,
      "below",
      below.filter((place) => !isChecked(place)),
      shortfall,
      subjectOf,
    ),
    ...linesOver(context, "not-done", below.filter(isChecked), shortfall, subjectOf),
  ];
}

const isBelow = ({ standing }: Evidence): boolean => standing === "below";
const aboveMeets = ({ points, meetsPoints }: Evidence): number => points - meetsPoints;
const subject = (place: Evidence): string => `${place.criterion}/${groupAt(place)}`;

/** Techniques that met the standard in everything that was seen of them, one line a kind of technique. */
function wholeTechniques(context: LineContext, marked: readonly Evidence[]): RankedLine[] {
  const items = marked.filter(({ item }) => item !== null);
  const missed = new Set(items.filter(isBelow).map(({ item }) => item));
  const groups = grouped(
    items.filter(({ item }) => !missed.has(item)),
    groupAt,
  );
  return [...groups.values()]
    .flatMap((places) => lineOver(context, "met-all", places, () => 1) ?? [])
    .sort(byRank);
}

/** One line for each criterion in each kind of technique. */
function linesOver(
  context: LineContext,
  kind: "strong" | "met" | "done" | "below" | "not-done" | "grow",
  places: readonly Evidence[],
  worth: (place: Evidence) => number,
  subjectOf = subject,
): RankedLine[] {
  return [...grouped(places, subjectOf).values()]
    .flatMap((some) => lineOver(context, kind, some, worth) ?? [])
    .sort(byRank);
}

/** Node 20 has no Map.groupBy. */
function grouped<T, K>(list: readonly T[], keyOf: (one: T) => K): Map<K, T[]> {
  const groups = new Map<K, T[]>();
  for (const one of list) {
    const key = keyOf(one);
    const group = groups.get(key);
    if (group) group.push(one);
    else groups.set(key, [one]);
  }
  return groups;
}

const byRank = (a: RankedLine, b: RankedLine): number => b.rank - a.rank || a.place - b.place;
