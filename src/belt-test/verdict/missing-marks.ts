import type { PersonId } from "../../book/identity.ts";
import { placeKey } from "../scorebook/cell.ts";
import { isSaidBefore } from "../scorebook/judge-view.ts";
import { cellsOf, filled, type Posed, type Reconciled } from "./question.ts";
import { isStruck, questionKeys } from "./question-keys.ts";
import type { Standing } from "./standing.ts";
import type { Weighing } from "./weighing.ts";

/** Cells fewer judges saw than the quorum: the missing marks could be anything on the scale. One question a section. */
export function noQuorum(reconciled: Reconciled, at: number): Posed[] {
  const { quorum } = reconciled.from.rubric.panel;
  const short = cellsOf(reconciled, at).filter(({ cell }) => cell.levels.length < quorum);
  const [first] = short;
  if (!first) return [];
  const { section } = first.place;
  const isOneItem = short.every(({ place }) => place.item === first.place.item);
  return [
    {
      question: {
        kind: "no-quorum",
        key: questionKeys.noQuorum(section),
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

/** A section with no score for want of marks, or with a must-show nobody saw. */
export function unseen(reconciled: Reconciled, at: number): Posed[] {
  const { section, score, unmet } = reconciled.standing.sections[
    at
  ] as Standing["sections"][number];
  const [nothing] = unmet.filter(({ why }) => why === "unseen");
  if (!nothing) return [];
  const blank = cellsOf(reconciled, at).filter(({ cell }) => cell.levels.length === 0);
  const { item } = nothing;
  return [
    {
      question: {
        kind: "unseen",
        key: questionKeys.unseen(section.section.id),
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

/**
 * Who has locked and said nothing of an assigned cell, not even “not seen”. A mark that the chief left out was given, and whoever is left out of a cell owes
 * none there; a judge is still named by the question by which the chief left them out.
 */
export function blanks(reconciled: Reconciled, at: number): Posed[] {
  const { from, weighing } = reconciled;
  const { section } = weighing.sections[at] as Weighing["sections"][number];
  const assigned = from.judges.filter((one) => one.section === section.id && one.hasLocked);
  if (assigned.length === 0) return [];
  const cells = cellsOf(reconciled, at);
  const topOf = (place: number | undefined) => weighing.cells[place ?? -1]?.top ?? 0;
  const said = new Set(
    from.marks.flatMap((mark) => {
      const key = placeKey(mark);
      const isMark = mark.level === "not-seen" || mark.level <= topOf(weighing.cellAt.get(key));
      return isMark ? [`${mark.judge}/${key}`] : [];
    }),
  );
  return assigned.flatMap(({ judge, items, criteria, before = [] }): Posed[] => {
    const key = questionKeys.blank(judge, section.id);
    const others = from.settlements.filter(({ question }) => question !== key);
    const blank = cells.filter(({ place }) => {
      const hasSaid = (one: PersonId) => said.has(`${one}/${placeKey(place)}`);
      return (
        !hasSaid(judge) &&
        !isSaidBefore(before, hasSaid) &&
        (!items || place.item === null || items.includes(place.item)) &&
        (!criteria || criteria.includes(place.criterion)) &&
        !isStruck({ ...place, judge }, others)
      );
    });
    if (blank.length === 0) return [];
    return [
      {
        question: { kind: "blank", key, section: section.id, judges: [judge], cells: blank.length },
        alternatives: filled(
          reconciled,
          blank.map((one) => ({ ...one, missing: 1 })),
        ),
      },
    ];
  });
}
