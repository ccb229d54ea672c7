import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, RubricId } from "../identity.ts";
import { criteriaAt, markedSides } from "../rubric/lookup.ts";
import { DONE, type Rubric } from "../rubric/rubric.ts";
import { isScaleOf } from "../rubric/scale.ts";
import { type Place, placeKey } from "./cell.ts";
import type { Scorebook } from "./scorebook.ts";

/** Why a rubric cannot take the place of the one this test was opened with. */
export type Misfit = "unknown" | "not-newer" | "other-rank" | "other-scale" | "verdict-issued";

const candidatesBy = (book: Scorebook, rubric: RubricId): CandidateId[] =>
  book.plan.entrants.flatMap((entrant) => (entrant.rubric === rubric ? [entrant.candidate] : []));

/**
 * Whether a rubric may replace the frozen one of its id, during a test.
 *
 * @returns null when it may. `other-scale` only where something is marked already: a given level would mean something else.
 *   `verdict-issued` when anybody tested by it has a verdict: people tested together are judged by one rubric.
 */
export function rubricMisfit(book: Scorebook, next: Rubric): Misfit | null {
  const now = book.plan.rubric(next.id);
  if (!now) return "unknown";
  const candidates = candidatesBy(book, next.id);
  if (candidates.some((candidate) => book.decisions.verdict(candidate))) return "verdict-issued";
  if (next.version <= now.version) return "not-newer";
  if (next.from.id !== now.from.id || next.to.id !== now.to.id || next.audience !== now.audience)
    return "other-rank";
  return candidates.some((candidate) => isReadOtherwise(book, candidate, next))
    ? "other-scale"
    : null;
}

/** Whether what is marked of a child would mean something else by this rubric: then it replaces none, and the child is not given it. A list has a scale of its own. */
export function isReadOtherwise(book: Scorebook, candidate: CandidateId, next: Rubric): boolean {
  const now = book.plan.rubricOf(candidate);
  return (
    now !== undefined &&
    !isScaleOf(now, next) &&
    book.marks.of(candidate, "now").some(({ criterion }) => criterion !== DONE)
  );
}

/** What of a rubric somebody may have relied on. */
type ChangedRule = "ages" | "weights" | "floors" | "pass" | "panel" | "disagreement" | "retest";

export interface MarkedCell {
  candidate: CandidateId;
  judge: PersonId;
  place: Place;
}
export interface Replacement {
  candidates: CandidateId[];
  /** Places somebody has marked that the new rubric does not ask for; the marks stay in the record and count no more. */
  displaced: { place: Place; marks: number }[];
  /** Places that nobody could mark so far, and that are asked for now. */
  asked: Place[];
  rules: ChangedRule[];
}

/**
 * What replacing a frozen rubric changes, before it is done.
 *
 * @param closed  cells known to be filled whose marks this device does not hold (coverage before the reveal); may repeat what the book has.
 * @returns places in the order of the old rubric (`displaced`) and of the new one (`asked`); empty lists where nothing changes.
 * @throws RangeError when no rubric of this id is frozen: see rubricMisfit.
 */
export function replacementOf(
  book: Scorebook,
  next: Rubric,
  closed: readonly MarkedCell[] = [],
): Replacement {
  const now = book.plan.rubric(next.id);
  if (!now) throw new RangeError(`replacementOf: no rubric ${next.id} is frozen`);
  const candidates = candidatesBy(book, next.id);
  const among = new Set(candidates);
  const filled = new Map<string, MarkedCell>();
  const held = candidates.flatMap((candidate) =>
    book.marks
      .of(candidate, "now")
      .map(({ judge, ...place }): MarkedCell => ({ candidate, judge, place })),
  );
  for (const cell of [...held, ...closed])
    if (among.has(cell.candidate))
      filled.set(`${cell.judge}/${cell.candidate}/${placeKey(cell.place)}`, cell);
  const marks = new Map<string, number>();
  for (const { place } of filled.values())
    marks.set(placeKey(place), (marks.get(placeKey(place)) ?? 0) + 1);
  const before = placesOf(now);
  const after = placesOf(next);
  const isAsked = new Set(after.map(placeKey));
  const wasAsked = new Set(before.map(placeKey));
  return {
    candidates,
    displaced: before.flatMap((place) => {
      const count = marks.get(placeKey(place)) ?? 0;
      return count > 0 && !isAsked.has(placeKey(place)) ? [{ place, marks: count }] : [];
    }),
    asked: after.filter((place) => !wasAsked.has(placeKey(place))),
    rules: changedRules(now, next),
  };
}

/** Every place a rubric asks to be marked, in its order. */
function placesOf(rubric: Rubric): Place[] {
  return rubric.sections.flatMap((section) =>
    [...section.items, null].flatMap((item) =>
      markedSides(item).flatMap((side) =>
        criteriaAt(section, item).map(
          (criterion): Place => ({ section: section.id, item: item?.id ?? null, side, criterion }),
        ),
      ),
    ),
  );
}

function changedRules(now: Rubric, next: Rubric): ChangedRule[] {
  // Of sections and items that one of the two does not have, nothing can have changed.
  const isShared = ({ id }: { id: string }) =>
    [now, next].every(({ sections, criteria }) =>
      [...criteria, ...sections, ...sections.flatMap(({ items }) => items)].some(
        (one) => one.id === id,
      ),
    );
  const floors = ({ sections }: Rubric) =>
    sections
      .filter(isShared)
      .map(({ id, floor, items }) => [
        id,
        floor,
        items.filter(isShared).map((item) => [item.id, item.mustShow]),
      ]);
  const weights = ({ sections, criteria, scale }: Rubric) => [
    scale.levels.map(({ points }) => points),
    criteria.filter(isShared).map(({ id, weight }) => [id, weight]),
    sections
      .filter(isShared)
      .map(({ id, weight, onceASection, items }) => [
        id,
        weight,
        onceASection?.weight,
        items.filter(isShared).map((item) => [item.id, item.weight]),
      ]),
  ];
  const ages = ({ sections }: Rubric) =>
    sections.flatMap(({ items }) =>
      items.filter(isShared).map(({ id, minimumAge }) => [id, minimumAge]),
    );
  const parts: [ChangedRule, (rubric: Rubric) => unknown][] = [
    ["ages", ages],
    ["weights", weights],
    ["floors", floors],
    ["pass", ({ pass }) => pass],
    ["panel", ({ panel }) => panel],
    ["disagreement", ({ disagreement }) => disagreement],
    ["retest", ({ retest }) => retest],
  ];
  return parts.flatMap(([rule, part]) =>
    JSON.stringify(part(now)) === JSON.stringify(part(next)) ? [] : [rule],
  );
}
