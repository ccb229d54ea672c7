import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId } from "../../../src/belt-test/identity.ts";
import type { CandidateCase, Question } from "../../../src/belt-test/verdict/outcome.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { type Certainty, panelCertainty } from "../../../src/belt-test/verdict/panel-certainty.ts";
import { isIssuable, questionQueue } from "../../../src/belt-test/verdict/question-queue.ts";
import { withCertainty } from "../../../src/belt-test/verdict/with-certainty.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { certaintyWord } from "../../../src/ratings/certainty/certainty-word.ts";
import { aCase, type Level } from "../../builders/a-case.ts";

/** A test of so many candidates; everything else as `aCase` has it. */
function aTest(
  candidates: number,
  level: (candidate: number, judge: number, cell: string) => Level,
  but: Parameters<typeof aCase>[0] = {},
): CandidateCase[] {
  return Array.from({ length: candidates }, (_, who) => {
    const candidate = `candidate-${who + 1}` as CandidateId;
    const from = aCase({
      ...but,
      level: (place, judge) =>
        place.criterion === "done"
          ? 2
          : level(who + 1, judge, `${place.item}/${place.side}/${place.criterion}`),
    });
    return { ...from, candidate, marks: from.marks.map((mark) => ({ ...mark, candidate })) };
  });
}
const certaintyOf = (cases: readonly CandidateCase[]) =>
  panelCertainty(cases.map((one) => ({ ...one, outcome: outcome(one) })));
const hash = (text: string) =>
  [...text].reduce((sum, letter) => (sum * 31 + letter.charCodeAt(0)) % 1009, 7);
/** Levels 2 to 4, the later candidates the better; each judge a little different. */
const various = (candidate: number, judge: number, cell: string): Level =>
  Math.min(4, 1 + Math.floor((candidate + (hash(`${cell}${judge}${candidate}`) % 5)) / 3));

describe("how sure the results of a belt test are", () => {
  it("[V15] certainty is given where marks support it, about the result that was computed", () => {
    const cases = aTest(8, various, { judges: 3 });
    const found = certaintyOf(cases);
    for (const one of cases) {
      const computed = outcome(one);
      const its = found.get(one.candidate) as Certainty;
      expect(its.pass).toBeGreaterThanOrEqual(0);
      expect(its.sure).toBe(computed.computed === "pass" ? its.pass : 1 - its.pass);
      expect(its.flatJudges).toEqual([]);
      expect(withCertainty(computed, its).certainty).toBe(its);
    }
    const pass = (who: number) => (found.get(`candidate-${who}` as CandidateId) as Certainty).pass;
    expect(pass(8)).toBeGreaterThan(0.95);
    expect(pass(1)).toBeLessThan(0.05);
  });

  it("[V15] and where they do not there is a reason, never a guess", () => {
    const reason = (cases: CandidateCase[]) => certaintyOf(cases).get("candidate-1" as CandidateId);
    expect(reason(aTest(3, various, { judges: 1 }))).toBe("one-judge");
    expect(reason(aTest(3, (_, judge, cell) => (hash(cell) % 2 === judge % 2 ? 3 : null)))).toBe(
      "nothing-shared",
    );
    expect(reason(aTest(3, () => null))).toBe("incomplete");
    expect(reason(aTest(3, various, { presence: "absent" }))).toBe("not-present");
    expect(reason(aTest(3, various, { revealed: [] }))).toBe("not-open");
    const [first, ...others] = aTest(3, various, { judges: 3 });
    const unlocked = { ...(first as CandidateCase), outcome: outcome(first as CandidateCase) };
    expect(
      panelCertainty([
        { ...unlocked, marks: [] },
        ...others.map((one) => ({ ...one, outcome: outcome(one) })),
      ]).get("candidate-1" as CandidateId),
    ).toBe("not-seen");
    expect(withCertainty(unlocked.outcome, "one-judge")).toMatchObject({
      certainty: null,
      certaintyReason: "one-judge",
    });
  });

  it("[V15] names who gave everybody the same mark, and says it with and without them", () => {
    const cases = aTest(8, (who, judge, cell) => (judge === 2 ? 3 : various(who, judge, cell)), {
      judges: 3,
    });
    const its = certaintyOf(cases).get("candidate-4" as CandidateId) as Certainty;
    expect(its.flatJudges).toEqual(["judge-2" as PersonId]);
    expect(its.withFlat?.pass).not.toBeCloseTo(its.pass, 3);
  });

  it("[V15] struck marks, excused items and failed checklists count as they do in the verdict", () => {
    const cases = aTest(6, various, { judges: 3 });
    const before = certaintyOf(cases).get("candidate-3" as CandidateId) as Certainty;
    const struck = cases.map((one) => ({
      ...one,
      settlements: [
        { question: "relation/judge-1", decision: "struck" as const, judge: "judge-1" as PersonId },
      ],
      relations: [{ judge: "judge-1" as PersonId, relation: "own-student" as const }],
    }));
    expect((certaintyOf(struck).get("candidate-3" as CandidateId) as Certainty).pass).not.toBe(
      before.pass,
    );
    const item = cases[0]?.rubric.sections[0]?.items[0]?.id as ItemId;
    const excused = cases.map((one, at) => (at === 2 ? { ...one, excused: [item] } : one));
    const its = certaintyOf(excused).get("candidate-3" as CandidateId) as Certainty;
    expect(its.pass).toBeGreaterThanOrEqual(0);
    expect(its.pass).not.toBe(before.pass);
  });

  it("[C8] the queue begins with questions about whoever is least sure", () => {
    // Everybody has one question that could turn nothing, and everybody the same: two judges two levels apart on one cell.
    const apart = (who: number, judge: number, cell: string): Level =>
      cell === "low-block/null/chamber" && who !== 8
        ? judge === 1
          ? 4
          : 2
        : various(who, judge, cell);
    const cases = aTest(8, apart, { judges: 3 });
    const known = certaintyOf(cases);
    const queue = questionQueue(
      cases.map((one) => withCertainty(outcome(one), known.get(one.candidate) ?? "incomplete")),
    ).filter(({ question }) => question.effect === "no-effect");
    const sure = queue.map(({ candidate }) => (known.get(candidate) as Certainty).sure);
    expect(new Set(sure).size).toBeGreaterThan(2);
    expect(sure).toEqual([...sure].sort((a, b) => a - b));
  });

  describe("and what that asks of the chief", () => {
    const sureBy = (sure: number): Certainty => ({
      pass: sure,
      sure,
      word: certaintyWord(sure),
      flatJudges: [],
      withFlat: null,
    });
    /** Everybody gives *Meets* everywhere: a pass with nothing to ask. */
    const calm = outcome(aCase());
    const open: Question = {
      kind: "borderline",
      key: "borderline",
      effect: "could-change",
      flips: true,
      swing: 1,
      isSettled: false,
    };

    it("[V35] a result too close to call asks for a second look, and waits for it", () => {
      expect(isIssuable(withCertainty(calm, sureBy(0.75)))).toBe(true);
      const asked = withCertainty(calm, sureBy(0.6));
      expect(asked.questions).toMatchObject([{ kind: "doubtful", key: "doubtful", flips: true }]);
      expect(asked.questions[0]?.gap).toBeCloseTo(40, 9);
      expect(isIssuable(asked)).toBe(false);
    });

    it("[V35] once looked at again it is a matter of record, and the verdict may be issued", () => {
      const settled = withCertainty(calm, sureBy(0.6), [
        { question: "doubtful", decision: "stands" },
      ]);
      expect(settled.questions).toMatchObject([
        { kind: "doubtful", isSettled: true, flips: false },
      ]);
      expect(isIssuable(settled)).toBe(true);
    });

    it("[V35] nothing more is asked where a question could turn the result already, and it is not called clear", () => {
      const turnable = { ...calm, questions: [open] };
      expect(withCertainty(turnable, sureBy(0.6)).questions).toEqual([open]);
      expect(withCertainty(turnable, sureBy(0.99)).certainty).toMatchObject({
        sure: 0.99,
        word: "close",
      });
      const flat = { pass: 0.98, sure: 0.98, word: "clear" } as const;
      expect(
        withCertainty(turnable, { ...sureBy(0.6), withFlat: flat }).certainty?.withFlat,
      ).toEqual({ ...flat, word: "close" });
      const answered = { ...calm, questions: [{ ...open, flips: false, isSettled: true }] };
      expect(withCertainty(answered, sureBy(0.99)).certainty?.word).toBe("clear");
    });
  });
});
