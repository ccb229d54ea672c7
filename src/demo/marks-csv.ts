import { fold } from "../belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../book/entry.ts";

/** The marks of a book as a marks CSV: `candidate,judge,section,item,criterion,mark,side,how`, candidates by their number. */
export function marksCsv(entries: Iterable<AnyEntry>): string {
  const book = fold(entries);
  const rows = book.plan.entrants.flatMap(({ candidate, number }) =>
    book.marks
      .of(candidate, "verdict")
      .map(({ judge, section, item, side, criterion, level, how }) =>
        [number, judge, section, item ?? "", criterion, level, side ?? "", how].join(","),
      )
      .sort(),
  );
  return `${["candidate,judge,section,item,criterion,mark,side,how", ...rows].join("\n")}\n`;
}
