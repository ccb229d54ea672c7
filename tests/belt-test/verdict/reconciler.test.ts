import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import { isKnown } from "../../../src/belt-test/scorebook/entry.ts";
import { fold, Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import { caseOf } from "../../../src/belt-test/verdict/case-of.ts";
import { knownSeverities } from "../../../src/belt-test/verdict/known-severities.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { casesOf, reconcile } from "../../../src/belt-test/verdict/reconcile.ts";
import { Reconciler } from "../../../src/belt-test/verdict/reconciler.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const places = [
  { item: "rising-block", side: "left", criterion: "chamber" },
  { item: "rising-block", side: "right", criterion: "target" },
  { item: "low-block", side: null, criterion: "chamber" },
] as const;

const afresh = (book: Scorebook) =>
  book.plan.entrants.map(({ candidate }) => outcome(caseOf(book, candidate)));

describe("reconciling while the test goes on", () => {
  it("[V14] gives the same as reconciling everything, entry by entry, in any order", () => {
    const step = fc.record({
      judge: fc.integer({ min: 0, max: 2 }),
      candidate: fc.integer({ min: 1, max: 3 }),
      place: fc.constantFrom(...places),
      level: fc.integer({ min: 1, max: 4 }),
      kind: fc.constantFrom(
        "mark",
        "mark",
        "mark",
        "lock",
        "relation",
        "overall",
        "excused",
        "rubric",
        "replaced",
      ),
    });
    fc.assert(
      fc.property(fc.array(step, { maxLength: 25 }), fc.boolean(), (steps, backwards) => {
        const day = aTestDay();
        const written: AnyEntry[] = steps.map(({ judge, candidate, place, level, kind }) => {
          const pen = day.judges[judge]?.pen;
          if (!pen) throw new Error("a judge without a pen");
          const who = `candidate-${candidate}` as CandidateId;
          const section = "blocks" as SectionId;
          if (kind === "lock")
            return pen.write("locked", {
              section,
              candidates: [who],
              basis: { [`judge-${judge + 1}-tablet`]: level },
            });
          if (kind === "relation")
            return pen.write("related", { candidate: who, relation: "own-student" });
          if (kind === "overall")
            return pen.write("overall", { candidate: who, section, judgement: level });
          if (kind === "rubric")
            return day.chief.write("frozen", {
              rubric: { ...day.rubric, pass: { ...day.rubric.pass, mark: 20 * level } },
            });
          if (kind === "replaced")
            return day.chief.write("judge-replaced", {
              judge: `judge-${judge + 1}` as PersonId,
              by: `judge-${level + 3}` as PersonId,
            });
          if (kind === "excused")
            return day.chief.write("excused", {
              candidate: who,
              section,
              item: anId("low-block"),
              why: "age",
            });
          return aMark(pen, { candidate: who, ...place, level });
        });
        const entries = [...day.plan, ...written];
        const book = new Scorebook();
        const reconciler = new Reconciler(book);
        for (const entry of backwards ? entries.reverse() : entries) {
          book.add(entry);
          reconciler.outcomes();
        }
        expect(reconciler.outcomes()).toEqual(afresh(book));
        const { outcomes } = reconcile(casesOf(book), knownSeverities(book));
        expect(book.plan.entrants.map(({ candidate }) => reconciler.advised(candidate))).toEqual(
          outcomes,
        );
      }),
      { numRuns: 60 },
    );
  });

  it("[V16] computes anew only the candidate something was written of", () => {
    const day = aTestDay();
    const book = fold(day.plan);
    const reconciler = new Reconciler(book);
    const before = reconciler.outcomes();
    const pen = day.judges[0]?.pen;
    if (!pen) throw new Error("a day without judges");
    book.add(aMark(pen, { candidate: "candidate-2" }));
    const after = reconciler.outcomes();
    expect(after[0]).toBe(before[0]);
    expect(after[2]).toBe(before[2]);
    // Looked at anew, and nothing in it: the mark is not open.
    expect(after[1]).not.toBe(before[1]);
    expect(after[1]).toEqual(before[1]);
  });

  it("[V14] hears of a question whose answer was here before it", () => {
    const { day, entries } = aMarkedDay();
    const [judge] = day.judges as [(typeof day.judges)[0]];
    const who = "candidate-1" as CandidateId;
    const book = fold(entries);
    const reconciler = new Reconciler(book);
    // As a hub put back from an older copy hears it: the judge's tablet first.
    const ask = day.chief.write("remark-asked", {
      ...{ judge: judge.person, candidate: who, section: "blocks" as SectionId, ask: "talk" },
      ...{ item: "rising-block" as ItemId, side: "left", criterion: null },
    });
    const mark = aMark(judge.pen, { candidate: who, level: 1 });
    book.add({ ...mark, body: { ...mark.body, answers: ask.id } } as AnyEntry);
    reconciler.outcomes();
    book.add(ask as AnyEntry);
    expect(reconciler.outcomes()).toEqual(afresh(book));
  });

  it("[V14] takes from the book who is present, who locked, who replaced whom", () => {
    const day = aTestDay({ judges: 2 });
    const [first, second] = day.judges;
    if (!first || !second) throw new Error("a day without judges");
    const mia = "candidate-1" as CandidateId;
    const book = fold(day.plan);
    book.add(
      day.chief.write("judge-replaced", { judge: second.person, by: "judge-9" as PersonId }),
    );
    book.add(day.chief.write("absent", { candidate: mia }));
    const found = caseOf(book, mia);
    expect(found.presence).toBe("absent");
    expect([...new Set(found.judges.map(({ judge }) => judge))]).toEqual(["judge-1", "judge-9"]);
    expect(found.judges.every(({ hasLocked }) => !hasLocked)).toBe(true);
    expect(() => caseOf(book, "nobody" as CandidateId)).toThrow(RangeError);
    expect(new Reconciler(book).outcome("nobody" as CandidateId)).toBeUndefined();
  });

  it("[V14] says again how sure everybody's result is when marks of somebody not open yet are struck", () => {
    const two = "candidate-2" as CandidateId;
    const { day, entries } = aMarkedDay({
      levelOf: (candidate, place, person) =>
        place.section === "etiquette"
          ? 2
          : 1 +
            ((3 * candidate.charCodeAt(10) +
              7 * place.criterion.length +
              5 * person.charCodeAt(6)) %
              4),
    });
    const partly = entries.map((entry): AnyEntry => {
      if (!isKnown(entry) || entry.kind !== "locked" || entry.by !== "judge-3") return entry;
      if (entry.body.section !== "etiquette") return entry;
      const candidates = entry.body.candidates.filter((one) => one !== two);
      return { ...entry, body: { ...entry.body, candidates } };
    });
    const book = fold(partly);
    const reconciler = new Reconciler(book);
    const before = reconciler.certainty();
    expect(before.get(two)).toBe("not-open");
    book.add(
      day.chief.write("review-settled", {
        candidate: two,
        question: "lone-dissent/judge-1/blocks",
        decision: "struck",
        judge: "judge-1" as PersonId,
        reason: { id: anId("r"), digest: "0".repeat(64) },
      }),
    );
    const afresh = new Reconciler(book).certainty();
    expect(afresh).not.toEqual(before);
    expect(reconciler.certainty()).toEqual(afresh);
  });
});
