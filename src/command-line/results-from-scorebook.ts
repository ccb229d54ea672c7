import { basename } from "node:path";
import type { CandidateId, SectionId } from "../belt-test/identity.ts";
import { candidateDetails } from "../belt-test/scorebook/candidate-details.ts";
import { letIns } from "../belt-test/scorebook/let-ins.ts";
import { fold, type Scorebook } from "../belt-test/scorebook/scorebook.ts";
import { PersonDetails } from "../belt-test/scorebook/side-bodies.ts";
import { asOpened } from "../belt-test/verdict/as-opened.ts";
import { caseOf } from "../belt-test/verdict/case-of.ts";
import { lockedMarks } from "../belt-test/verdict/locked-marks.ts";
import type { Outcome } from "../belt-test/verdict/outcome.ts";
import { Reconciler } from "../belt-test/verdict/reconciler.ts";
import { smallestChange } from "../belt-test/verdict/smallest-change.ts";
import type { PersonId } from "../book/identity.ts";
import type { SideRecord } from "../book/side-record.ts";
import { fileRemarks, strayRemarks, verdictRemarks } from "./file-remarks.ts";
import { readScorebook } from "./read-scorebook.ts";
import { straysOf } from "./take-hubs-file.ts";
import type { Candidate, TestResults } from "./test-results.ts";
import { Trouble } from "./trouble.ts";

/** The results of a scorebook file, which brings its own rubrics. @throws Trouble, also for every mark that belongs nowhere, where no hub signed the file. */
export function resultsFromScorebook(file: string): TestResults {
  const scorebook = readScorebook(file);
  const book = fold(scorebook.entries);
  const strays = straysOf(book, scorebook, file);
  if (strays.length > 0) throw new Trouble(strays);
  const names = new Map<string, SideRecord>(scorebook.sides.map((side) => [side.id, side]));
  const reconciler = new Reconciler(book);
  const candidates = book.plan.entrants.flatMap((entrant): Candidate[] => {
    const { candidate, number } = entrant;
    const details = candidateDetails(entrant, (id) => names.get(id));
    const rubric = book.plan.rubricOf(candidate);
    const advised = reconciler.advised(candidate);
    const outcome = advised && (book.plan.rules === 1 ? advised : asOpened(advised));
    if (!rubric || !outcome)
      throw new Trouble([{ say: "scorebook-rubric-missing", file, with: { candidate } }]);
    return [
      {
        candidate,
        name: [details?.given, details?.family].filter(Boolean).join(" "),
        number,
        rubric,
        outcome,
        overalls: book.marks.overalls(candidate),
        change: isOpen(outcome) ? smallestChange(caseOf(book, candidate)) : null,
        issued: issuedOf(book, candidate),
        repeats: repeatsOf(book, outcome),
        doubt: reconciler.doubt(candidate),
      },
    ];
  });
  if (candidates.length === 0) throw new Trouble([{ say: "scorebook-nobody", file }]);
  return {
    grading: {
      id: scorebook.grading,
      title: book.plan.opened?.title ?? basename(file),
      date: book.plan.opened?.date ?? null,
    },
    candidates,
    marks: candidates.flatMap(({ candidate }) => book.marks.of(candidate, "verdict")),
    locked: candidates.flatMap(({ candidate }) => lockedMarks(book, candidate)),
    isAsWritten: book.plan.rules === 1,
    severity: reconciler.severity(),
    judges: reconciler.panel().judges,
    ways: reconciler.ways(),
    judgeName: (judge: PersonId) =>
      PersonDetails.safeParse(names.get(book.plan.seat(judge)?.details?.id ?? "")?.body).data
        ?.name ?? judge,
    letIns: letIns(book),
    remarks: [...fileRemarks(scorebook), ...strayRemarks(book), ...verdictRemarks(book)],
  };
}

/** A chief may have others repeated than were computed. */
function repeatsOf(book: Scorebook, { candidate, retestSections }: Outcome): readonly SectionId[] {
  const issued = book.decisions.verdict(candidate)?.body;
  const isSaid = issued?.result === "retest" && issued.retestSections.length > 0;
  return isSaid ? issued.retestSections : retestSections;
}

/** Nothing is said of marks that are closed, or of somebody who did not take part. */
const isOpen = ({ certainty, certaintyReason }: Outcome): boolean =>
  Boolean(certainty) || (certaintyReason !== "not-open" && certaintyReason !== "not-present");

function issuedOf(book: Scorebook, candidate: CandidateId): Candidate["issued"] {
  const verdict = book.decisions.verdict(candidate)?.body.result;
  if (verdict) return verdict;
  const presence = book.floor.presence(candidate);
  if (presence === "withdrawn") return "withdrawn";
  // Who was not fit on the day took no part either; why is nobody's business here.
  return presence === "absent" || presence === "unfit" ? "absent" : null;
}
