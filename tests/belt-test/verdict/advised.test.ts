import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { adjustedResult } from "../../../src/belt-test/verdict/adjusted-result.ts";
import { advised } from "../../../src/belt-test/verdict/advised.ts";
import { knownSeverities } from "../../../src/belt-test/verdict/known-severities.ts";
import type { CandidateCase } from "../../../src/belt-test/verdict/outcome.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { panelSeverity } from "../../../src/belt-test/verdict/panel-severity.ts";
import { hindrances } from "../../../src/belt-test/verdict/question-queue.ts";
import { casesOf, reconcile } from "../../../src/belt-test/verdict/reconcile.ts";
import { Reconciler } from "../../../src/belt-test/verdict/reconciler.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aCase } from "../../builders/a-case.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { marksByJudges } from "../../builders/marks-by-judges.ts";

const judge = (one: number) => `judge-${one}` as PersonId;
// Without judge 3 everybody is near 62 %, with judge 3 near 56 %.
const rubric = aRubric({ disagreement: { levelGap: 4, borderlineBand: 0 }, pass: { mark: 58.5 } });

/** Candidates marked by the judges that `whom` names; `level` says what each gives in the cell `at`. */
function aDay(
  whom: readonly (readonly number[])[],
  level: (judge: number, candidate: number, at: number) => number,
): CandidateCase[] {
  return whom.map((judges, place) => {
    const candidate = `candidate-${place + 1}` as CandidateId;
    const marks = marksByJudges(rubric, candidate, judges, (one, at) => level(one, place, at));
    return { ...aCase({ rubric, judges: 0 }), candidate, marks };
  });
}
const panelOf = (day: readonly CandidateCase[]) => panelSeverity(day);
const advice = (from: CandidateCase, day: readonly CandidateCase[]) =>
  advised(outcome(from), from, panelOf(day));
const noError = (...severities: number[]) => ({
  judges: severities.map((severity) => ({ severity, se: 0.1 })),
  covariance: Float64Array.from({ length: severities.length ** 2 }, (_, at) =>
    at % (severities.length + 1) === 0 ? 0.01 : 0,
  ),
  hasStandard: true,
});

/** Pairs of five judges in turn, so that everybody meets; judge 3 is a level lower in half of the cells. */
const rotation = Array.from({ length: 20 }, (_, at) => [
  (at % 5) + 1,
  ((at + 1 + (at % 2)) % 5) + 1,
]);
const severeThird = (one: number, candidate: number, at: number) =>
  2 + ((candidate + at) % 2) - (one === 3 && at % 2 === 0 ? 1 : 0);

describe("an adjusted score", () => {
  it("[V22] is the rule's score plus what severity took off, worked on paper", () => {
    // Level 3 everywhere is 66.7 % of blocks; etiquette 100 %. A level more is worth (33.4 + 33.3) / 2 = 33.35 points there.
    // Two judges, half each: severities .4 and 0 took off .2 of a level, 6.67 points of blocks, three quarters of that of the total.
    const from = aCase({ rubric });
    const found = adjustedResult(from, noError(0.4, 0), [judge(1), judge(2)]);
    expect(found?.change).toBeCloseTo(5.0025, 6);
    expect(found?.score).toBeCloseTo((3 * 66.7 + 100) / 4 + 5.0025, 6);
    expect(found?.sections).toEqual([
      { id: "blocks", score: expect.closeTo(73.37, 6) },
      { id: "etiquette", score: 100 },
    ]);
    // Each judge's error of .1 moves the total by a half of three quarters of 33.35: twice that, squared and added.
    expect(found?.se).toBeCloseTo(Math.sqrt(2) * 0.1 * 0.5 * 0.75 * 33.35, 6);
    expect(found?.to).toBe("standard");
  });

  it("[V22] moves floors and must-shows with it", () => {
    const strict = aRubric({
      sections: aRubric().sections.map((section) =>
        section.id === "blocks"
          ? {
              ...section,
              floor: 70,
              items: section.items.map((item) =>
                item.id === "low-block" ? { ...item, mustShow: { floor: 70 } } : item,
              ),
            }
          : section,
      ),
    });
    const from = aCase({ rubric: strict });
    expect(outcome(from).computed).toBe("retest");
    const judges = [judge(1), judge(2)];
    expect(adjustedResult(from, noError(0.2, 0.2), judges)?.computed).toBe("pass");
    expect(adjustedResult(from, noError(0.09, 0.09), judges)?.computed).toBe("retest");
  });

  it("[V22] never leaves 0–100", () => {
    const from = aCase({ rubric, level: ({ criterion }) => (criterion === "done" ? 2 : 4) });
    expect(adjustedResult(from, noError(2, 2), [judge(1), judge(2)])?.score).toBe(100);
  });

  it("[V21] stands beside an outcome that stays what it was", () => {
    const day = aDay(rotation, severeThird);
    for (const from of day) {
      const plain = outcome(from);
      const { adjusted, questions, ...rest } = advice(from, day);
      const { questions: before, ...others } = plain;
      expect(rest).toEqual(others);
      expect(questions.filter(({ kind }) => kind !== "severity")).toEqual(before);
      const hasThird = from.marks.some((mark) => mark.judge === judge(3));
      expect(Math.sign(adjusted?.change ?? 0)).toBe(hasThird ? 1 : -1);
    }
  });

  it("[V23] that would be another result is a question, until the chief settles it", () => {
    const day = aDay(rotation, severeThird);
    const turned = day.filter(
      (from) => advice(from, day).adjusted?.computed !== outcome(from).computed,
    );
    expect(turned.length).toBeGreaterThan(0);
    for (const from of turned) {
      const found = advice(from, day);
      expect(found.questions[0]).toMatchObject({ kind: "severity", flips: true, isSettled: false });
      expect(hindrances(found)).toEqual(["question-open"]);
      const settlements = [{ question: "severity", decision: "stands" as const }];
      const after = advice({ ...from, settlements }, day);
      expect(after.questions.find(({ kind }) => kind === "severity")).toMatchObject({
        effect: "no-effect",
        isSettled: true,
      });
      expect(hindrances(after)).toEqual([]);
    }
    for (const from of day.filter((one) => !turned.includes(one)))
      expect(advice(from, day).questions.some(({ kind }) => kind === "severity")).toBe(false);
  });

  it("[V24] is not made up for a complete panel, nor for judges whom nobody links", () => {
    const complete = aDay(
      Array.from({ length: 8 }, () => [1, 2, 3]),
      severeThird,
    );
    expect(advice(complete[0] as CandidateCase, complete)).toMatchObject({
      adjusted: null,
      adjustedReason: "nothing-to-gain",
    });
    const apart = aDay(
      Array.from({ length: 8 }, (_, at) => (at < 4 ? [1, 2] : [3, 4])),
      severeThird,
    );
    expect(advice(apart[0] as CandidateCase, apart)).toMatchObject({
      adjusted: null,
      adjustedReason: "not-connected",
    });
    expect(panelOf(apart).links).toHaveLength(1);
    const [first] = aDay([[1, 2]], severeThird);
    const closed = { ...(first as CandidateCase), revealed: [] };
    expect(advice(closed, [first as CandidateCase]).adjustedReason).toBe("no-score");
  });
});

describe("the panel's severities while the test goes on", () => {
  it("[V25] are the same object after marks in the making and after a re-mark, another after a lock", () => {
    const { day, entries } = aMarkedDay({
      levelOf: (candidate, place, person) =>
        place.section === "etiquette"
          ? 2
          : 2 + ((candidate.length + place.criterion.length + person.charCodeAt(6)) % 2),
      locks: (person, section) => person !== "judge-3" || section !== "etiquette",
    });
    const book = fold(entries);
    const reconciler = new Reconciler(book);
    const before = reconciler.severity();
    const sure = reconciler.certainty();
    const [first, , third] = day.judges;
    if (!first || !third) throw new Error("three judges");
    first.pen.hear(book.lamport);
    book.add(aMark(first.pen, { level: 1 }));
    expect(reconciler.severity()).toBe(before);
    expect(reconciler.certainty()).toBe(sure);
    third.pen.hear(book.lamport);
    book.add(
      third.pen.write("locked", {
        section: anId("etiquette"),
        candidates: [...day.candidates],
        basis: {
          "judge-3-tablet": third.pen.write("related", {
            candidate: day.candidates[0] as never,
            relation: "other",
          }).n,
        } as never,
      }),
    );
    expect(reconciler.severity()).not.toBe(before);
    expect(reconciler.certainty()).not.toBe(sure);
  });

  it("[V25] advise everybody as reckoning afresh would", () => {
    const { entries } = aMarkedDay();
    const book = fold(entries);
    const [one, other] = [new Reconciler(book), new Reconciler(fold([...entries].reverse()))];
    const { severity, outcomes } = reconcile(casesOf(book), knownSeverities(book));
    expect(one.severity()).toEqual(severity);
    for (const [at, { candidate }] of book.plan.entrants.entries()) {
      expect(one.advised(candidate)).toEqual(other.advised(candidate));
      expect(one.advised(candidate)).toEqual(outcomes[at]);
    }
    const [first] = book.plan.entrants;
    if (!first) throw new Error("somebody");
    expect(one.advised(first.candidate)).toBe(one.advised(first.candidate));
  });
});
