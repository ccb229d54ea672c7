import type { ReadScorebook } from "../core/scorebook/read-scorebook-file.ts";
import type { Scorebook } from "../core/scorebook/scorebook.ts";
import { unfoundedVerdicts } from "../core/verdict/unfounded-verdicts.ts";
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

/** A sentence for each verdict of a book that is not what its marks come to. */
export const verdictRemarks = (book: Scorebook): string[] =>
  unfoundedVerdicts(book).map(({ number = 0, ...one }) =>
    sayTerminal("verdict-unfounded", { number, ...one }),
  );
