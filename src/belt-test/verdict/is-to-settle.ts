import type { PersonId } from "../../book/identity.ts";
import type { Place } from "../scorebook/cell.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isIn } from "../scorebook/seal.ts";
import type { Outcome, Question } from "./outcome.ts";
import type { AskedQuestion } from "./question-queue.ts";

/**
 * Whether an open question waits for the chief. A verdict answers what was open when it was issued, though such a question may still be one that could turn it;
 * what came after it asks again: marks of a judge that its writer did not have, what is asked of them once they count, and whatever makes something else of the marks.
 *
 * @param computed  what is computed of that candidate now
 */
export function isToSettle(
  book: Scorebook,
  { candidate, question }: AskedQuestion,
  computed: Outcome["computed"] | undefined,
): boolean {
  const verdict = book.decisions.verdict(candidate)?.body;
  if (!verdict || verdict.computed !== computed) return true;
  const isNew = ({ judge, place }: { judge: PersonId; place: Place }): boolean =>
    book.marks.writes(judge, candidate, place).some((write) => !isIn(verdict.basis, write));
  const marks =
    question.kind === "late"
      ? book.marks.late(candidate)
      : book.marks.of(candidate, "verdict").map(({ judge, ...place }) => ({ judge, place }));
  return marks
    .filter(({ judge, place }) => question.judges?.includes(judge) && isAbout(question, place))
    .some(isNew);
}

/** Whether a question is about this place, as far as it says about which. */
const isAbout = (question: Question, place: Place): boolean =>
  question.section === place.section &&
  (["item", "side", "criterion"] as const).every(
    (part) => question[part] === undefined || question[part] === place[part],
  );
