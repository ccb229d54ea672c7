import type { CandidateId } from "../../../belt-test/identity.ts";
import type { How } from "../../../belt-test/kinds/body-parts.ts";
import {
  criteriaAt,
  levelsAt,
  markedSides,
  meetsLevelAt,
} from "../../../belt-test/rubric/lookup.ts";
import type { Item, Rubric, Section, Side } from "../../../belt-test/rubric/rubric.ts";
import { type Place, placeKey } from "../../../belt-test/scorebook/cell.ts";
import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import { caseOf } from "../../../belt-test/verdict/case-of.ts";
import type { Outcome, PanelMark } from "../../../belt-test/verdict/outcome.ts";
import { isStruck } from "../../../belt-test/verdict/question-keys.ts";
import type { PersonId } from "../../../book/identity.ts";

/** One judge's mark of one cell, as it counts now. */
export interface Thread {
  judge: PersonId;
  level: number | "not-seen";
  how: How;
  /** What stood at lock, where a re-mark has changed it since. */
  first: number | "not-seen" | undefined;
  isStruck: boolean;
  /** Outside the judge's lock, or of a judge who never locked: kept, and counting for nothing unless the chief says so. */
  isLate: boolean;
  /** False where the panel's rule left this mark out. */
  isUsed: boolean;
}

export interface CellOfAll {
  place: Place;
  threads: readonly Thread[];
  /** Judges of it whose cell is blank. */
  blank: readonly PersonId[];
  panel: PanelMark | undefined;
  /** Everybody says *Meets*: nothing to look at. */
  isPlain: boolean;
}

/** What is shown together: an item on one side, or what is marked once a section. */
export interface Rows {
  item: Item | null;
  side: Side | null;
  cells: readonly CellOfAll[];
}

/** All marks of one open section side by side, in the rubric's order. Excused items are left out. */
export function rowsOf(
  book: Scorebook,
  candidate: CandidateId,
  rubric: Rubric,
  section: Section,
  outcome: Outcome,
): Rows[] {
  const { settlements } = caseOf(book, candidate);
  const atLock = new Map(
    book.marks
      .of(candidate, "lock")
      .map((mark) => [`${mark.judge}/${placeKey(mark)}`, mark.level] as const),
  );
  const counting = book.marks.of(candidate, "verdict");
  const known = new Set(counting.map((mark) => `${mark.judge}/${placeKey(mark)}`));
  const late = new Set(
    book.marks.late(candidate).map(({ judge, place }) => `${judge}/${placeKey(place)}`),
  );
  // Where nothing of a judge counts, what is kept is shown all the same.
  const kept = book.marks.of(candidate, "now").filter((mark) => {
    const key = `${mark.judge}/${placeKey(mark)}`;
    return late.has(key) && !known.has(key);
  });
  const panel = new Map(outcome.panelMarks.map((mark) => [placeKey(mark), mark]));
  const threads = new Map<string, Thread[]>();
  for (const mark of [...counting, ...kept]) {
    if (mark.section !== section.id) continue;
    const key = placeKey(mark);
    const first = atLock.get(`${mark.judge}/${key}`);
    const one: Thread = {
      judge: mark.judge,
      level: mark.level,
      how: mark.how,
      first: first === mark.level ? undefined : first,
      isStruck: isStruck(mark, settlements),
      isLate: kept.includes(mark),
      isUsed: panel.get(key)?.used.includes(mark.judge) ?? false,
    };
    threads.set(key, [...(threads.get(key) ?? []), one]);
  }
  const meets = meetsLevelAt(rubric, section);
  // Of whoever takes no part nobody is asked for more.
  const judges = isHere(book, candidate) ? book.panel.judgesOf(candidate, section.id) : [];
  return [...section.items, null].flatMap((item) => {
    if (item && book.plan.excuse(candidate, item.id)) return [];
    return markedSides(item).flatMap((side): Rows[] => {
      const cells = criteriaAt(section, item).map((criterion): CellOfAll => {
        const place = { section: section.id, item: item?.id ?? null, side, criterion };
        const key = placeKey(place);
        const its = (threads.get(key) ?? []).sort((a, b) => (a.judge < b.judge ? -1 : 1));
        return {
          place,
          threads: its,
          blank: judges.filter((judge) => !its.some((one) => one.judge === judge)),
          panel: panel.get(key),
          isPlain:
            its.length > 0 &&
            its.every(
              ({ level, first, isStruck: struck, isLate }) =>
                level === meets && first === undefined && !struck && !isLate,
            ),
        };
      });
      return cells.length > 0 ? [{ item, side, cells }] : [];
    });
  });
}

/** Where a level hangs, in percent of the track's width; the same for marks and for panel marks between levels. */
export function levelAt(level: number, rubric: Rubric, section: Section): number {
  const most = levelsAt(rubric, section);
  // A checklist's line stands where *Meets* stands elsewhere, so that the eye keeps one line down the page.
  const meets = most > 1 ? (rubric.scale.meetsLevel - 1) / (rubric.scale.levels.length - 1) : 1;
  const share =
    section.marking === "checklist"
      ? ((level - 1) / (most - 1)) * meets
      : (level - 1) / (most - 1 || 1);
  return 9 + 82 * share;
}
