import type { PersonId } from "../../book/identity.ts";
import type { CandidateId } from "../identity.ts";
import type { Scorebook } from "./scorebook.ts";

/** What would follow if a judge's places went to another. */
export interface AfterGiving {
  /** Whom the judge is still to mark, somewhere. */
  candidates: CandidateId[];
  /** Those of them whom fewer judges would mark then than their rubric asks for. */
  below: CandidateId[];
  /** The fewest judges that one of those would have, and what the rubric asks for there. */
  left: number;
  quorum: number;
}

/** Of how many candidates a judge's places are, and whom fewer judges would mark than the rubric asks for. What is open is nobody's to mark any more. */
export function afterGiving(book: Scorebook, judge: PersonId, by: PersonId): AfterGiving {
  const after: AfterGiving = { candidates: [], below: [], left: 0, quorum: 0 };
  for (const { candidate } of book.plan.entrants) {
    const rubric = book.plan.rubricOf(candidate);
    const numbers = (rubric?.sections ?? []).flatMap(({ id }) => {
      const judges = book.panel.judgesOf(candidate, id);
      if (!judges.includes(judge) || book.openings.isRevealed(candidate, id)) return [];
      const others = judges.filter((one) => one !== judge && one !== by);
      return [others.length + (book.panel.isRecused(by, candidate, id) ? 0 : 1)];
    });
    if (!rubric || numbers.length === 0) continue;
    after.candidates.push(candidate);
    const left = Math.min(...numbers);
    const { quorum } = rubric.panel;
    if (left >= quorum) continue;
    if (after.below.length === 0 || left < after.left) Object.assign(after, { left, quorum });
    after.below.push(candidate);
  }
  return after;
}
