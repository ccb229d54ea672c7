import type { Fault } from "../../book/faults.ts";
import type { PersonId } from "../../book/identity.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import { isShutTo } from "../scorebook/is-shut-to.ts";
import { rubricMisfit } from "../scorebook/rubric-replacement.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { refusalOfReentry } from "./after-marks.ts";
import { refusalOfMovedOpening } from "./moved-opening.ts";
import { nothing, type Refusals, sinceSecondRules } from "./refusals.ts";
import { refusalOfStranger, refusalOfUnseated } from "./strangers.ts";

export const planRefusals = {
  opened: nothing,
  "faults-frozen": nothing,
  seated: nothing,
  started: nothing,
  closed: nothing,
  // Once the test is open a rubric is replaced, with a reason; another may still be added.
  frozen: ({ book }, { body: { rubric } }) =>
    book.plan.isStarted && book.plan.rubric(rubric.id) ? { code: "REASON_MISSING" } : null,
  "rubric-replaced": ({ book }, { body: { rubric } }) => {
    const misfit = rubricMisfit(book, rubric);
    if (!misfit) return null;
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
      ? refusalOfReentry(asked, entry)
      : { code: "RUBRIC_UNKNOWN", with: { rubric } };
  }),
  "lined-up": sinceSecondRules(({ book }, entry) => refusalOfLanes(book, entry)),
} satisfies Refusals;

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
    if (isShutTo(book, judge, candidate, section) || lamport <= opened)
      return { code: "SECTION_OPEN", with: { candidate, section } };
  }
  return refusalOfMovedOpening(book, entry);
}
