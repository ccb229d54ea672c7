import { placeKey } from "../scorebook/cell.ts";
import { isSaidBefore } from "../scorebook/judge-view.ts";
import { flagKeys } from "./flag-keys.ts";
import { cellsOf, filled, type Question, type Reconciled } from "./question.ts";
import type { Standing } from "./standing.ts";
import type { Weighing } from "./weighing.ts";

/** Cells fewer judges saw than the quorum: the missing marks could be anything on the scale. One question a section. */
export function noQuorum(reconciled: Reconciled, at: number): Question[] {
  const { quorum } = reconciled.from.rubric.panel;
  const short = cellsOf(reconciled, at).filter(({ cell }) => cell.levels.length < quorum);
  const [first] = short;
  if (!first) return [];
  const { section } = first.place;
  const isOneItem = short.every(({ place }) => place.item === first.place.item);
  return [
    {
      flag: {
        kind: "no-quorum",
        key: flagKeys.noQuorum(section),
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
export function unseen(reconciled: Reconciled, at: number): Question[] {
  const { section, score, mustShowUnseen } = reconciled.standing.sections[
    at
  ] as Standing["sections"][number];
  if (score !== null && mustShowUnseen.length === 0) return [];
  const blank = cellsOf(reconciled, at).filter(({ cell }) => cell.levels.length === 0);
  const [item] = mustShowUnseen;
  return [
    {
      flag: {
        kind: "unseen",
        key: flagKeys.unseen(section.section.id),
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

/** Who has locked and said nothing of an assigned cell, not even “not seen”. */
export function blanks(reconciled: Reconciled, at: number): Question[] {
  const { from } = reconciled;
  const cells = cellsOf(reconciled, at);
  const section = (reconciled.weighing.sections[at] as Weighing["sections"][number]).section.id;
  const assigned = from.judges.filter((one) => one.section === section && one.hasLocked);
  if (assigned.length === 0) return [];
  const notSeen = new Set(
    from.marks.flatMap((mark) =>
      mark.level === "not-seen" ? [`${mark.judge}/${placeKey(mark)}`] : [],
    ),
  );
  return assigned.flatMap(({ judge, items, criteria, before = [] }): Question[] => {
    const blank = cells.filter(
      ({ place, cell }) =>
        !cell.judges.includes(judge) &&
        !isSaidBefore(before, (one) => cell.judges.includes(one)) &&
        (!items || place.item === null || items.includes(place.item)) &&
        (!criteria || criteria.includes(place.criterion)) &&
        !(notSeen.size > 0 && notSeen.has(`${judge}/${placeKey(place)}`)),
    );
    if (blank.length === 0) return [];
    return [
      {
        flag: {
          kind: "blank",
          key: flagKeys.blank(judge, section),
          section,
          judges: [judge],
          cells: blank.length,
        },
        alternatives: filled(
          reconciled,
          blank.map((one) => ({ ...one, missing: 1 })),
        ),
      },
    ];
  });
}
