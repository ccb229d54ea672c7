import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import { highestTaken } from "../../book/lamport-leap.ts";
import { NOW } from "../../book/order.ts";
import { kindsThatAre, rowOf } from "../kinds/all-kinds.ts";
import { type Entry, isKnown } from "../scorebook/entry.ts";
import { isForAnyone } from "../scorebook/out-of-turn.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { rubricsOfVerdicts } from "../verdict/verdict-doubt.ts";
import { refusalOfBody } from "./all-refusals.ts";
import { refusalOfLateAnchor } from "./standards.ts";
import { isAwaited, isChief, mayWrite, type Writer } from "./writer.ts";

/** What may still be written when the chief has closed the test: a correction, and the sheet that says it. */
const openAfterClosing = kindsThatAre("after-closing");

/**
 * Whether this writer may write this entry into this book now.
 *
 * Safety comes first: a stop, an incident and a withdrawal are never refused to anybody admitted, whatever the state of the test.
 * That a child is back is not, where it comes from far ahead.
 * Entries of unknown kinds are let through for every admitted writer, so that next year's tablet loses nothing at this year's hub.
 * What was written before the closing may come after it; so may what a judge wrote before the plan changed: by the plan of now or by that of then.
 * Lateness is no ground for refusal: late marks are kept, shown, and need the chief.
 *
 * @param known  the highest logical time there is, where that is more than the book holds
 * @returns null when permitted; else the fault, with what its sentence needs.
 */
export function refusal(
  book: Scorebook,
  writer: Writer,
  entry: AnyEntry,
  known = book.lamport,
): Fault | null {
  if (entry.by !== writer.person) return { code: "NOT_YOURS" };
  if (isTooFarAhead(writer, entry, Math.max(known, book.lamport)))
    return { code: "LAMPORT_TOO_HIGH" };
  if (!isKnown(entry)) return null;
  if (rowOf(entry.kind).writers === "anyone" || isHubsWord(writer, entry)) return null;
  if (!mayWrite(entry.kind, writer.roles))
    return { code: "ROLE_MISSING", with: { kind: entry.kind } };
  return (
    refusalOfClosed(book, writer, entry) ??
    refusalOfLateAnchor(book, writer, entry) ??
    refusalNowAndThen(book, writer, entry)
  );
}

/** Who came in as whom is said by the hub, at any time of the test, in the chief's name. */
const isHubsWord = (writer: Writer, { kind }: Entry): boolean =>
  kind === "let-in" && writer.isHubs === true && isChief(writer);

/** Whoever is chief is believed about how late it is: a hub that was put back from an older copy knows no better, and everybody waits for it. */
function isTooFarAhead(writer: Writer, entry: AnyEntry, known: number): boolean {
  const word = isChief(writer) ? "chief" : isForAnyone(entry) ? "anyone" : "other";
  return entry.lamport > highestTaken(known, word);
}

/** After the closing nothing is marked, called or planned; a verdict is a correction then, and needs a reason. */
function refusalOfClosed(book: Scorebook, writer: Writer, entry: Entry): Fault | null {
  const { closing } = book.plan;
  // Logical time, not arrival: a tablet that was away hands in what it wrote before. A chief does not hear closed marks, so that what a lost hub held at the
  // closing may bear a later one.
  if (!closing || isBefore(book, entry, closing.lamport) || isAwaited(book, writer, entry))
    return null;
  if (!openAfterClosing.has(entry.kind))
    return givesRubricBack(book, entry) ? null : { code: "GRADING_CLOSED" };
  return entry.kind === "verdict" && !entry.body.reason ? { code: "REASON_MISSING" } : null;
}

/**
 * Another rubric may have come in since a verdict was issued, which no sheet is made of until the child is tested by its rubric again; or two verdicts were
 * issued by two, and the right one can only be issued anew by its own.
 */
function givesRubricBack(book: Scorebook, entry: Entry): boolean {
  if (entry.kind !== "entered") return false;
  const { candidate, number, rubric, details, given } = entry.body;
  return (
    rubricsOfVerdicts(book, candidate).some(({ id }) => id === rubric) &&
    number === book.plan.entrant(candidate)?.number &&
    !details &&
    !given
  );
}

/** A mark does not make logical time go on, so one that bears the closing's own was written by somebody who had heard of it. */
const isBefore = (book: Scorebook, { kind, lamport }: Entry, closing: number): boolean =>
  book.plan.rules > 1 && untimed.has(kind) ? lamport < closing : lamport <= closing;
const untimed = kindsThatAre("untimed");

/**
 * The order in which entries arrive decides nothing: a judge who was replaced, a rubric that was, an anchor that was closed
 * do not shut out what was written before, in logical time.
 */
function refusalNowAndThen(book: Scorebook, writer: Writer, entry: Entry): Fault | null {
  const fault = refusalOfBody({ book, writer, at: NOW }, entry);
  // What makes logical time go on was written by somebody who had not come to that moment yet; a mark perhaps, where a hub had taken it before.
  const isEarlier =
    book.plan.rules > 1 && (!untimed.has(entry.kind) || isAwaited(book, writer, entry));
  const seen = isEarlier ? entry.lamport - 1 : entry.lamport;
  return fault && refusalOfBody({ book, writer, at: seen }, entry) ? fault : null;
}
