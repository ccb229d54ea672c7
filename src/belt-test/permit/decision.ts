import type { Basis } from "../../book/counts.ts";
import type { Fault } from "../../book/faults.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { decisionKinds } from "../kinds/decision.ts";
import { assignedPlaces } from "../scorebook/assigned-places.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import { heldAtOpenings } from "../scorebook/held-first.ts";
import { countedPlace } from "../scorebook/place-counts.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isIn } from "../scorebook/seal.ts";
import { wouldCountOtherwise } from "./moved-opening.ts";
import { type Asked, nothing, type RefusalsOf } from "./refusals.ts";
import { refusalOfSections, refusalOfStranger } from "./strangers.ts";

// Once the opening is here, a hub has said what it held there.
const ofHeld = ({ book }: Asked, { body }: EntryOf<"held" | "held-sealed">): Fault | null =>
  book.entry(body.of) ? { code: "HELD_ALREADY" } : null;

const ofOneChild = ({ book }: Asked, { body }: EntryOf<"review-settled" | "sheet-edited">) =>
  refusalOfStranger(book, body.candidate);

/**
 * Whether the marks there are open already, by a later moment: a second chief who had not heard of it would open them on what was not
 * here then. A hub that had taken the line before said then what it held. On the road the line says itself what its chief had: it is taken where
 * that is no less than other chiefs had, and changes nothing.
 */
const wasOpenedOtherwise = (
  { book, writer }: Asked,
  entry: EntryOf<"revealed">,
  candidate: CandidateId,
): boolean => {
  const { section, after = {} as Basis } = entry.body;
  const opened = book.openings.openedAt(candidate, section);
  if (book.plan.rules === 1 || opened === undefined) return false;
  if (heldAtOpenings(book.entries(), new Set([entry.id])).length > 0) return false;
  const isOlder = entry.lamport < opened;
  if (!writer.isFromRoad) return isOlder;
  return (
    (isOlder && !hadNoMore(book, after, candidate, section)) ||
    wouldCountOtherwise(book, entry, { candidate, section })
  );
};

/** Whether no chief who opened the marks there without a hub had more than this before. */
const hadNoMore = (
  { openings }: Scorebook,
  after: Basis,
  candidate: CandidateId,
  section: SectionId,
): boolean =>
  openings
    .openedByChief(candidate, section)
    .every(({ body }) =>
      Object.entries(body.after ?? {}).every(([device, n]) => isIn(after, { device, n })),
    );

export const decisionRefusals = {
  "floor-cleared": nothing,
  // What is opened is a section of that candidate's rubric.
  revealed: (asked, entry) => {
    const { book, at } = asked;
    const { candidates, section } = entry.body;
    for (const candidate of candidates) {
      const fault =
        refusalOfStranger(book, candidate) ?? refusalOfSections(book, candidate, [section], at);
      if (fault) return fault;
      if (wasOpenedOtherwise(asked, entry, candidate))
        return { code: "SECTION_OPEN", with: { candidate, section } };
    }
    return null;
  },
  held: ofHeld,
  "held-sealed": ofHeld,
  "remark-asked": ({ book, at }, entry) => {
    const { candidate, section, ask } = entry.body;
    const stranger = refusalOfStranger(book, candidate);
    if (stranger) return stranger;
    const mayAsk =
      book.openings.isRevealed(candidate, section, at) ||
      (ask === "blank" &&
        (book.plan.rules === 1 ? isUnseen(book, entry, at) : isToldUnseen(book, entry)));
    return mayAsk ? null : { code: "NOT_REVEALED" };
  },
  "review-settled": ofOneChild,
  verdict: ({ book, at }, { body }) => {
    const { candidate, retestSections, result, computed, reason } = body;
    return (
      refusalOfStranger(book, candidate) ??
      refusalOfSections(book, candidate, retestSections, at) ??
      (result !== computed && !reason ? { code: "REASON_MISSING" } : null)
    );
  },
  "sheet-edited": ofOneChild,
  // There is a sheet once there is a verdict, or the candidate has withdrawn.
  "sheet-released": ({ book }, { body: { candidate } }) => {
    const stranger = refusalOfStranger(book, candidate);
    if (stranger) return stranger;
    const hasSheet =
      book.decisions.verdict(candidate) || book.floor.presence(candidate) === "withdrawn";
    return hasSheet ? null : { code: "VERDICT_MISSING", with: { candidate } };
  },
  // Where the marks are closed there is nothing to correct, and nothing is told of what is there.
  correction: ({ book }, { body: { of } }) => {
    const its = book.entry(of);
    const place = its && countedPlace(its.kind, its.body);
    const isClosed = place && !book.openings.isRevealed(place.candidate, place.section);
    return its && !isClosed ? null : { code: "NOTHING_TO_CORRECT" };
  },
} satisfies RefusalsOf<typeof decisionKinds>;

/** Whether a cell the chief asks about is blank or “not seen”, or was when it was asked: before the reveal no other may be asked about. */
function isUnseen(
  book: Scorebook,
  { lamport, body }: EntryOf<"remark-asked">,
  at: number,
): boolean {
  const { judge, candidate, section, item, side, criterion } = body;
  return assignedPlaces(book, judge, candidate, section, at).some((place) => {
    if (place.item !== item || place.side !== side) return false;
    if (criterion !== null && place.criterion !== criterion) return false;
    const mark = book.marks.cell(judge, candidate, place);
    if (!mark || mark.level === "not-seen") return true;
    // It may have been blank when it was asked; after the lock nothing was.
    return mark.lamport > lamport && !book.openings.hasLocked(judge, candidate, section);
  });
}

/**
 * By the second rules a judge is asked before the reveal only where the asking can tell nothing: when everything of that child's section is filled,
 * about what is not seen.
 */
function isToldUnseen(book: Scorebook, { body }: EntryOf<"remark-asked">): boolean {
  const { judge, candidate, section, item, side, criterion } = body;
  const places = assignedPlaces(book, judge, candidate, section);
  const isFilled =
    places.length > 0 && places.every((place) => book.marks.cell(judge, candidate, place));
  return (
    (isFilled || book.openings.hasLocked(judge, candidate, section)) &&
    places.some(
      (place) =>
        place.item === item &&
        place.side === side &&
        (criterion === null || place.criterion === criterion) &&
        (book.marks.cell(judge, candidate, place)?.level ?? "not-seen") === "not-seen",
    )
  );
}
