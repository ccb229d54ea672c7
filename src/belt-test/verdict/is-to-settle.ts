import type { Scorebook } from "../scorebook/scorebook.ts";
import { isIn } from "../scorebook/seal.ts";
import type { Outcome } from "./outcome.ts";
import type { Review } from "./review-queue.ts";

/**
 * Whether an open question waits for the chief. A verdict answers what was open when it was issued, though such a question may still be one that could turn it;
 * what came after it asks again: marks of a judge that its writer did not have, and whatever makes something else of the marks.
 *
 * @param computed  what is computed of that candidate now
 */
export function isToSettle(
  book: Scorebook,
  { candidate, flag }: Review,
  computed: Outcome["computed"] | undefined,
): boolean {
  const verdict = book.decisions.verdict(candidate)?.body;
  if (!verdict || verdict.computed !== computed) return true;
  if (flag.kind !== "late") return false;
  return book.marks
    .late(candidate)
    .filter(({ judge, place }) => flag.judges?.includes(judge) && place.section === flag.section)
    .some(({ judge, place }) =>
      book.marks.writes(judge, candidate, place).some((write) => !isIn(verdict.basis, write)),
    );
}
