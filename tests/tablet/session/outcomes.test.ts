import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { isOpen } from "../../../src/belt-test/verdict/is-open.ts";
import { outcomesOf } from "../../../src/tablet/session/outcomes.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";

const one = "candidate-1" as CandidateId;

describe("outcomes on the chief's device", () => {
  it("say nothing of a section whose judges have not all locked, even where the device holds every mark", () => {
    const { entries } = aMarkedDay({
      // Two levels apart everywhere: there would be a question for every cell.
      levelOf: (_, place, judge) =>
        place.section === "etiquette" ? 2 : judge === "judge-1" ? 1 : 3,
      locks: (judge, section) => section === "etiquette" || judge !== "judge-2",
    });
    const outcome = outcomesOf(fold(entries)).of(one);
    expect(outcome && isOpen(outcome)).toBe(false);
    expect(outcome).toMatchObject({ computed: "incomplete", score: null, scoreRounded: null });
    const blocks = outcome?.sections.find(({ id }) => id === "blocks");
    expect(blocks).toMatchObject({ isRevealed: false, score: null, seen: 0 });
    expect(outcome?.panelMarks.some(({ section }) => section === "blocks")).toBe(false);
    expect(outcome?.questions.some(({ section }) => section !== "etiquette")).toBe(false);
    // The list is open: it may be shown.
    expect(outcome?.panelMarks.length).toBeGreaterThan(0);
  });

  it("show all of it once every judge has locked", () => {
    const { entries } = aMarkedDay();
    const outcome = outcomesOf(fold(entries)).of(one);
    expect(outcome && isOpen(outcome)).toBe(true);
    // By hand: blocks all Meets 66.7, weight 3; etiquette all done 100, weight 1: (3 × 66.7 + 100) / 4 = 75.025.
    expect(outcome?.score?.percent).toBeCloseTo(75.025, 9);
    expect(outcome?.computed).toBe("pass");
  });

  it("ask nothing more of a candidate whose verdict is issued, until what is computed changes", () => {
    const { entries, day } = aMarkedDay({
      levelOf: (_, place, judge) =>
        place.section === "etiquette" ? 2 : judge === "judge-1" && place.side === "left" ? 1 : 3,
    });
    const book = fold(entries);
    const asked = () => outcomesOf(book).queue.some(({ candidate }) => candidate === one);
    expect(asked()).toBe(true);
    day.chief.hear(book.lamport);
    const computed = outcomesOf(book).of(one)?.computed ?? "incomplete";
    const issue = (as: "pass" | "retest" | "incomplete") =>
      day.chief.write("verdict", {
        candidate: one,
        result: "pass",
        retestSections: [],
        computed: as,
        basis: book.basis,
      });
    book.add(issue(computed));
    expect(asked()).toBe(false);
    book.add(issue(computed === "pass" ? "retest" : "pass"));
    expect(asked()).toBe(true);
  });

  it("keep the very same answer for whom nothing happened to", () => {
    const { entries, day } = aMarkedDay();
    const book = fold(entries);
    const two = "candidate-2" as CandidateId;
    const before = { one: outcomesOf(book).of(one), two: outcomesOf(book).of(two) };
    book.add(day.chief.write("withdrawn", { candidate: one, why: "hurt" }));
    const after = outcomesOf(book);
    expect(after.of(two)).toBe(before.two);
    expect(after.of(one)).not.toBe(before.one);
  });
});
