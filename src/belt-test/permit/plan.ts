import type { Fault } from "../../book/faults.ts";
import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { markedPlaceKey } from "../kinds/marked-place.ts";
import type { planKinds } from "../kinds/plan.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { type EntryOf, isKnown } from "../scorebook/entry.ts";
import { isShutTo } from "../scorebook/is-shut-to.ts";
import { placesCountedAsOne } from "../scorebook/one-count.ts";
import { rubricMisfit } from "../scorebook/rubric-replacement.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { refusalOfReentry } from "./after-marks.ts";
import { refusalOfMovedOpening } from "./moved-opening.ts";
import { hasBegun, isClosed, saysNothingElse } from "./other-words.ts";
import { nothing, type RefusalsOf, sinceSecondRules } from "./refusals.ts";
import { refusalOfStranger, refusalOfUnseated } from "./strangers.ts";

export const planRefusals = {
  // Until the closing the chief corrects title and day.
  opened: saysNothingElse((plan) => plan.opened, isClosed, { code: "GRADING_CLOSED" }),
  "faults-frozen": saysNothingElse((plan) => plan.library, hasBegun, {
    code: "ENTRY_MALFORMED",
    with: { path: "body.library", detail: "not the words that this test began with" },
  }),
  seated: nothing,
  started: nothing,
  // Who closed it, and why.
  closed: saysNothingElse((plan) => plan.closing, isClosed, { code: "GRADING_CLOSED" }),
  // Once the test is open a rubric is replaced, with a reason; another may still be added.
  frozen: ({ book }, { body: { rubric } }) =>
    hasBegun(book) && book.plan.rubric(rubric.id)
      ? { code: "REASON_MISSING" }
      : refusalOfOneCount(book, { sections: sectionsOf(rubric) }),
  "rubric-replaced": ({ book }, { body: { rubric } }) => {
    const misfit = rubricMisfit(book, rubric);
    if (!misfit) return refusalOfOneCount(book, { sections: sectionsOf(rubric) });
    const code =
      misfit === "unknown"
        ? ("RUBRIC_UNKNOWN" as const)
        : misfit === "verdict-issued"
          ? ("VERDICT_ISSUED" as const)
          : ("RUBRIC_MISFIT" as const);
    return { code, with: { rubric: rubric.id } };
  },
  assigned: sinceSecondRules(
    ({ book }, entry) =>
      refusalOfUnseated(book, entry.body.judge) ?? refusalOfAssigned(book, entry),
  ),
  "judge-replaced": sinceSecondRules(
    ({ book }, entry) =>
      refusalOfUnseated(book, entry.body.by) ?? refusalOfMovedOpening(book, entry),
  ),
  "held-at-giving": ({ book }, entry) => {
    const { by, body } = entry;
    const given = book.entry(body.of);
    const isBeside =
      given &&
      isKnown(given) &&
      given.kind === "judge-replaced" &&
      given.body.isHeldBeside === true;
    return isBeside && given.by === by
      ? refusalOfMovedOpening(book, entry)
      : { code: "HELD_ALREADY" };
  },
  entered: sinceSecondRules((asked, entry) => {
    const { book } = asked;
    const { candidate, rubric } = entry.body;
    // Whoever erases the child would erase the person, and every reason filed under them.
    if (book.plan.seat(candidate as string as PersonId))
      return {
        code: "ENTRY_MALFORMED",
        with: { path: "body.candidate", detail: "the id of somebody on the panel" },
      };
    // Of somebody without a rubric nothing can be asked, marked or said.
    return book.plan.rubric(rubric)
      ? (refusalOfOneCount(book, { candidates: [candidate] }) ?? refusalOfReentry(asked, entry))
      : { code: "RUBRIC_UNKNOWN", with: { rubric } };
  }),
  "lined-up": sinceSecondRules(({ book }, entry) => refusalOfLanes(book, entry)),
} satisfies RefusalsOf<typeof planKinds>;

const sectionsOf = ({ sections }: Rubric): SectionId[] => sections.map(({ id }) => id);

/** What would come in, and would make of two places one count on every tablet. */
function refusalOfOneCount(
  book: Scorebook,
  { candidates = [], sections = [] }: { candidates?: CandidateId[]; sections?: SectionId[] },
): Fault | null {
  if (book.plan.rules === 1) return null;
  const shared = placesCountedAsOne(book.plan, { candidates, sections });
  if (!shared) return null;
  const [one, other] = shared.map(markedPlaceKey);
  return {
    code: "ENTRY_MALFORMED",
    with: { path: "body", detail: `counted as one with another: ${one}, ${other}` },
  };
}

/** A lane is one entered candidate's, and each has one. */
function refusalOfLanes(
  book: Scorebook,
  { body: { wave, lanes } }: EntryOf<"lined-up">,
): Fault | null {
  for (const [lane, candidate] of lanes.entries()) {
    const stranger = refusalOfStranger(book, candidate);
    if (stranger) return stranger;
    if (lanes.indexOf(candidate) !== lane) return { code: "LANE_OTHER", with: { candidate, wave } };
  }
  return null;
}

/** Nobody is added where the marks are open. Nor is the plan written anew of before they were opened. */
function refusalOfAssigned(book: Scorebook, entry: EntryOf<"assigned">): Fault | null {
  const { lamport, body } = entry;
  const { judge, section, candidates } = body;
  for (const candidate of candidates) {
    const opened = book.openings.openedAt(candidate, section);
    if (opened === undefined) continue;
    // Whoever stepped back from one child has the watch of the others still, which goes on as it was.
    const isTheirs = () =>
      book.panel.assignments.some(
        (one) =>
          one.judge === judge &&
          one.section === section &&
          one.wave === body.wave &&
          one.candidates.includes(candidate),
      );
    const isAdded = isShutTo(book, judge, candidate, section) && !isTheirs();
    if (isAdded || lamport <= opened) return { code: "SECTION_OPEN", with: { candidate, section } };
  }
  return refusalOfMovedOpening(book, entry);
}
