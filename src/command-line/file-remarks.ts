import type { ReadScorebook } from "../core/scorebook/read-scorebook-file.ts";
import type { Scorebook } from "../core/scorebook/scorebook.ts";
import { doubtedVerdicts } from "../core/verdict/verdict-doubt.ts";
import { sayTerminal } from "../words/terminal-words.ts";

/** What whoever reads a scorebook file is told of it: that nobody vouches for it, and names taken out of what a hub signed. */
export function fileRemarks({
  chain,
  person,
  lacking,
}: Pick<ReadScorebook, "chain" | "person"> & { lacking: number }): string[] {
  const isSigned = chain.length > 0;
  return [
    ...(isSigned || person !== undefined ? [] : [sayTerminal("imported-unsigned")]),
    ...(isSigned && lacking > 0 ? [sayTerminal("imported-lacking", { count: lacking })] : []),
  ];
}

/** A sentence for each verdict of a book that cannot be relied on. */
export const verdictRemarks = (book: Scorebook): string[] =>
  doubtedVerdicts(book).map(({ number = 0, doubt, ...one }) =>
    sayTerminal(`verdict-${doubt}`, { number, ...one }),
  );
