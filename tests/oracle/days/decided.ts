import { sheetOf } from "../../../src/belt-test/feedback/sheet-of.ts";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { EntryKind } from "../../../src/belt-test/kinds/all-kinds.ts";
import type { EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import type { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import { isAway } from "../../../src/belt-test/scorebook/presence.ts";
import type { Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { Outcome } from "../../../src/belt-test/verdict/outcome.ts";
import { Reconciler } from "../../../src/belt-test/verdict/reconciler.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { GradingId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { shippedLibrary } from "../../../src/hub/routes/shipped-library.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import type { Dice } from "../../world/dice.ts";

interface Deciding {
  book: Scorebook;
  grading: GradingId;
  pen: Pen;
  dice: Dice;
  makeId: () => string;
}

/** What the chief does when everybody has locked: settles what could change a verdict, decides, writes sheets, releases them, closes, and now and then corrects. */
export function decided({ book, grading, pen, dice, makeId }: Deciding): {
  entries: AnyEntry[];
  sides: SideRecord[];
} {
  const entries: AnyEntry[] = [];
  const sides: SideRecord[] = [];
  const reconciler = new Reconciler(book);
  const write = <Kind extends EntryKind>(kind: Kind, body: EntryBody<Kind>) => {
    pen.hear(book.lamport);
    const entry = pen.write(kind, body) as AnyEntry;
    book.add(entry);
    entries.push(entry);
    return entry;
  };
  const text = (about: CandidateId) => {
    const { record, ref } = makeSideRecord(
      { grading, about, kind: "text", body: { text: `About ${about}: ${makeId()}` } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    sides.push(record);
    return ref;
  };
  const settle = (candidate: CandidateId, { questions }: Outcome) => {
    for (const question of questions.filter(({ effect }) => effect === "could-change")) {
      const judge = dice.falls(0.4) ? question.judges?.[0] : undefined;
      write("review-settled", {
        question: question.key,
        candidate,
        decision: judge ? "struck" : "stands",
        ...(judge ? { judge } : {}),
        reason: text(candidate),
      });
    }
  };
  const decide = (candidate: CandidateId, isPlain: boolean) => {
    const outcome = reconciler.advised(candidate);
    if (!outcome) return;
    const { computed, retestSections } = outcome;
    const result = isPlain && computed === "pass" ? "pass" : "retest";
    write("verdict", {
      candidate,
      result,
      retestSections: [...retestSections],
      computed,
      ...(isPlain && computed === result ? {} : { reason: text(candidate) }),
      basis: book.basis,
    });
  };

  const present = book.plan.entrants
    .map(({ candidate }) => candidate)
    .filter((candidate) => !isAway(book.floor.presence(candidate)));
  for (const candidate of present) {
    const outcome = reconciler.outcome(candidate);
    if (outcome && dice.falls(0.6)) settle(candidate, outcome);
    decide(candidate, dice.falls(0.9));
    const made = sheetOf(
      book,
      candidate,
      reconciler.outcome(candidate),
      book.plan.library ?? shippedLibrary(),
    );
    if (made && dice.falls(0.4))
      write("sheet-edited", {
        candidate,
        ...(dice.falls(0.6) ? { next: made.choices.next.slice(-2).map(({ key }) => key) } : {}),
        ...(dice.falls(0.6) ? { words: text(candidate) } : {}),
      });
    if (dice.falls(0.9)) write("sheet-released", { candidate });
  }
  write("closed", {});
  const [first] = present;
  const verdict = first && book.decisions.verdict(first);
  if (first && verdict && dice.falls(0.3)) {
    write("correction", { of: verdict.id, reason: text(first) });
    decide(first, false);
    write("sheet-released", { candidate: first });
  }
  return { entries, sides };
}
