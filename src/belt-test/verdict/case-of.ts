import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { heads, writeThatStands } from "../scorebook/cell.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import type { CandidateCase, JudgeAssigned } from "./outcome.ts";

/**
 * What the scorebook says of one candidate, laid out for reconciling.
 * @throws RangeError for somebody who is not entered, or whose rubric is not in the book: there is nothing to reconcile by.
 */
export function caseOf(book: Scorebook, candidate: CandidateId): CandidateCase {
  const rubric = book.plan.rubricOf(candidate);
  if (!rubric) throw new RangeError(`caseOf: no rubric for candidate ${candidate}`);
  const judges = judgesAssigned(book, candidate, rubric);
  const revealed = rubric.sections.flatMap(({ id }) =>
    book.openings.isRevealed(candidate, id) ? [id] : [],
  );
  // What is closed counts for nobody: whoever holds all the marks, such as a hub's export, says the same as whoever is sent what is open.
  const isOpen = ({ section }: { section: SectionId }) =>
    book.plan.rules === 1 || revealed.includes(section);
  return {
    candidate,
    rubric,
    rules: book.plan.rules,
    presence: book.floor.presence(candidate),
    marks: book.marks.of(candidate, "verdict").filter(isOpen),
    overalls: book.marks.overalls(candidate).filter(isOpen),
    judges,
    revealed,
    excused: rubric.sections.flatMap(({ items }) =>
      items.flatMap(({ id }) => (book.plan.excuse(candidate, id) ? [id] : [])),
    ),
    relations: relationsOf(book, candidate),
    conflicts: book.marks
      .conflicts(candidate)
      .filter(({ place }) => isOpen(place))
      .map(({ judge, place }) => ({
        judge,
        place,
        levels: heads(book.marks.writes(judge, candidate, place)).flatMap(({ level }) =>
          typeof level === "number" ? [level] : [],
        ),
      })),
    late: book.marks
      .late(candidate)
      .filter(({ place }) => isOpen(place))
      .map(({ judge, place }) => {
        const write = writeThatStands(book.marks.writes(judge, candidate, place));
        return { judge, place, level: typeof write?.level === "number" ? write.level : null };
      }),
    settlements: book.decisions
      .settlements(candidate)
      .map(({ body: { question, decision, judge } }) => ({
        question,
        decision,
        judge,
      })),
  };
}

const judgesAssigned = (book: Scorebook, candidate: CandidateId, rubric: Rubric): JudgeAssigned[] =>
  rubric.sections.flatMap(({ id: section }) =>
    book.panel.judgesOf(candidate, section).map(
      (judge): JudgeAssigned => ({
        ...{ judge, section, ...book.panel.askedOf(judge, candidate, section) },
        hasLocked: book.openings.hasLockThatCounts(judge, candidate, section),
        ...(book.plan.rules === 1
          ? {}
          : { before: book.openings.predecessorsIn(judge, candidate, section) }),
      }),
    ),
  );

function relationsOf(book: Scorebook, candidate: CandidateId): CandidateCase["relations"] {
  const judges = new Set<PersonId>(book.plan.seats.map(({ person }) => person));
  return [...judges].sort().flatMap((judge) => {
    const relation = book.panel.relation(judge, candidate);
    return relation ? [{ judge, relation }] : [];
  });
}
