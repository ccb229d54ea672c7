import type { CandidateId } from "../identity.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isReckonable, verdictFault } from "./verdict-fault.ts";

/**
 * Why a verdict that was taken is not to be relied on. `not-here`: it rests on marks that are not here, or not open here; their tablet has still to come,
 * or there never were any. `unreasoned`: it says that something else was computed than its marks come to, or goes against that, and nobody wrote why.
 */
export type VerdictDoubt = "not-here" | "unreasoned";

/**
 * Whether a verdict can be relied on. A hub put back from an older copy takes one that rests on what it has lost, since the chief examiner decided it and
 * nothing is to be lost twice. Until those marks come it is doubted, and nobody is handed a sheet of it; when they come it is reckoned.
 *
 * @returns undefined where there is no verdict, where it can be relied on, and by the first rules.
 */
export function verdictDoubt(book: Scorebook, candidate: CandidateId): VerdictDoubt | undefined {
  const verdict = book.verdict(candidate);
  if (!verdict || book.rules === 1) return undefined;
  if (!isReckonable(book, verdict)) return "not-here";
  return verdictFault(book, verdict) ? "unreasoned" : undefined;
}
