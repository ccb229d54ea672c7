import type { CandidateId, ItemId } from "../belt-test/identity.ts";
import { agesOut } from "../belt-test/planning/excused-by-age.ts";
import type { Rubric } from "../belt-test/rubric/rubric.ts";
import type { ExcuseRow, MarkRow } from "./read-marks.ts";
import type { Rostered } from "./read-roster.ts";
import { sayTerminal } from "./say-terminal.ts";
import type { Complaint } from "./trouble.ts";

interface OnPaper {
  candidate: CandidateId;
  rubric: Rubric;
  rows: readonly MarkRow[];
  excuses: readonly ExcuseRow[];
  rostered: Rostered | undefined;
  /** ISO day of the test, where it was given. */
  date: string | undefined;
}

/**
 * The items that somebody marked on paper does not do: those the file excuses, and those the rubric's minimum age keeps for older ones,
 * by the rule of a test with tablets (excused-by-age.ts). Where no year of birth is known that rule excuses out of caution: paper that has a level there says it was shown.
 */
export function excusedOnPaper({ rubric, rows, excuses, rostered, date }: OnPaper): ItemId[] {
  const said = excuses.map(({ item }) => item);
  const shownItems = new Set(
    rows.flatMap(({ mark: { item, level } }) => (typeof level === "number" ? [item] : [])),
  );
  const tooYoung = agesOut(rubric, rostered?.birthYear, date ?? "")
    .map(({ item }) => item)
    .filter((item) => rostered?.birthYear !== undefined || !shownItems.has(item));
  return [...new Set([...said, ...tooYoung])];
}

/** A year of birth and a minimum age say nothing without the day of the test. */
export const needsDate = ({ rubric, rostered, date }: OnPaper): boolean =>
  date === undefined &&
  rostered?.birthYear !== undefined &&
  agesOut(rubric, undefined, "").length > 0;

/** A level for an item that somebody is excused from says two things at once. */
export const excusedAndMarked = ({ rows, excuses }: OnPaper): Omit<Complaint, "file">[] =>
  excuses.flatMap(({ line, item, candidate }) => {
    const marked = rows.find(({ mark }) => mark.item === item && typeof mark.level === "number");
    return marked
      ? [
          {
            say: "mark-excused-marked" as const,
            line,
            with: { candidate, item, other: marked.line },
          },
        ]
      : [];
  });

/** What a reader should know: marks of an item that the year of birth excuses from count for nothing. */
export function leftOut(one: OnPaper, excused: readonly ItemId[]): string[] {
  const items = excused.filter((item) =>
    one.rows.some(({ mark }) => mark.item === item && typeof mark.level === "number"),
  );
  return items.map((item) =>
    sayTerminal("marks-too-young", {
      candidate: one.candidate,
      item,
      year: `${one.rostered?.birthYear ?? ""}`,
    }),
  );
}
