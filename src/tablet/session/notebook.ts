import { kindsThatAre } from "../../belt-test/kinds/all-kinds.ts";
import { type Bodies, readEntry } from "../../belt-test/scorebook/entry.ts";
import { heldFirst, isHeld } from "../../belt-test/scorebook/held-first.ts";
import { penRules } from "../../belt-test/scorebook/pen.ts";
import { isLockOrAnswer, refusalOfBasis } from "../../belt-test/scorebook/refusal-of-basis.ts";
import { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../book/entry.ts";
import { faultsThatAre } from "../../book/faults.ts";
import { PenOf } from "../../book/pen.ts";
import { owedAgain } from "../../line/owed-again.ts";
import type { BookRules } from "../notebook/book-rules.ts";
import { NotebookOf, type NotebookSettings } from "../notebook/notebook.ts";
import { type HallNews, NO_NEWS } from "./hall-news.ts";
import { isOvertaken } from "./overtaken.ts";

const untimed = kindsThatAre("untimed");
const saidAlone = kindsThatAre("said-alone");

/** What a notebook asks of a belt test. */
const rules: BookRules<Scorebook, Bodies, HallNews> = {
  newBook: () => new Scorebook(),
  readEntry,
  newPen: (settings, book) =>
    new PenOf(
      penRules(() => book().plan.rules),
      settings,
    ),
  noNews: NO_NEWS,
  inTurn: heldFirst,
  owedAgain,
  /** A judge's marks of another tablet stay on the glass, so that nobody marks twice. */
  staysUnsaid: (entry, person) => entry.by === person && (untimed.has(entry.kind) || isHeld(entry)),
  /** A judge's mark that may only have come before what it hangs on stays on the glass, so that nobody marks twice. */
  mayComeYet: (book, entry, { code }) =>
    code === "BASIS_WRONG"
      ? waitsForAnother(book, entry)
      : untimed.has(entry.kind) && comesYet.has(code),
  isOvertaken,
  /** What a chief said alone of who judges what is marked, and of what is open: the marks and locks that the copy lacks come first. */
  notSaidAgain(book) {
    const lines = [...book.entries()];
    // Before the start nothing is marked.
    const started = lines.find(({ kind }) => kind === "started");
    return started
      ? lines.filter(({ kind, lamport }) => lamport > started.lamport && saidAlone.has(kind))
      : [];
  },
};

const comesYet = faultsThatAre("stays-on-the-glass");

/**
 * A lock, or an answer, that is right by all that this device has heard: the hub was put back from an older copy and lacks what another
 * device of the same judge sent to the one before. If it left the glass, the judge would mark anew, and lock other marks than stood.
 */
const waitsForAnother = (book: Scorebook, entry: AnyEntry): boolean =>
  isLockOrAnswer(entry) && refusalOfBasis(book, entry) === null;

/** One grading on this device. */
export type Notebook = NotebookOf<Scorebook, Bodies, HallNews>;
export const Notebook = {
  open: (settings: NotebookSettings): Promise<Notebook> => NotebookOf.open(rules, settings),
};
