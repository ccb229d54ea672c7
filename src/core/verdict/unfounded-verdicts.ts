import type { CandidateId } from "../identity.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import type { Outcome } from "./outcome.ts";
import { verdictFault } from "./verdict-fault.ts";

export interface UnfoundedVerdict {
  candidate: CandidateId;
  number: number | undefined;
  result: EntryOf<"verdict">["body"]["result"];
  /** What the marks come to that the verdict says it was given on. */
  computed: Outcome["computed"];
}

/**
 * The verdicts that stand in a book and would be taken into none: not what their marks come to, with no reason given.
 * A file is read all the same; whoever reads it is told.
 * @returns by number; empty for every book by the first rules, and for what its basis leaves unknown, as `verdictFault` does.
 */
export function unfoundedVerdicts(book: Scorebook): UnfoundedVerdict[] {
  return book.entrants.flatMap(({ candidate, number }): UnfoundedVerdict[] => {
    const verdict = book.verdict(candidate);
    const fault = verdict && verdictFault(book, verdict);
    if (!verdict || !fault) return [];
    const { result, computed } = verdict.body;
    const said = { candidate, number, result };
    switch (fault.code) {
      case "COMPUTED_OTHER":
        return [{ ...said, computed: fault.with?.computed as Outcome["computed"] }];
      case "REASON_MISSING":
        return result === computed ? [] : [{ ...said, computed }];
      default:
        return [];
    }
  });
}
