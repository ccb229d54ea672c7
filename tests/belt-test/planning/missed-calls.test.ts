import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { callBody } from "../../../src/belt-test/planning/call-body.ts";
import { missedCalls } from "../../../src/belt-test/planning/missed-calls.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const [one, two] = ["candidate-1", "candidate-2", "candidate-3"] as CandidateId[];
const blocks = "blocks" as SectionId;

/** A day on which the blocks are shown by one child after the other, or by all at once. */
function aDay(how: "alone" | "together", here?: CandidateId[]) {
  const its = aRubric();
  const marking = how === "alone" ? ("single" as const) : ("line" as const);
  const rubric = {
    ...its,
    sections: its.sections.map((section) =>
      section.id === blocks ? { ...section, marking } : section,
    ),
  };
  const day = aTestDay({ rubric });
  const book = fold(day.plan);
  const say = (kind: "checked-in" | "absent", candidate: CandidateId) =>
    book.add(day.chief.write(kind, { candidate }) as AnyEntry);
  for (const candidate of here ?? day.candidates) say("checked-in", candidate);
  const call = (index: number) => {
    const step = waveScript(book, 1)[index];
    if (!step) throw new Error(`no step ${index}`);
    book.add(day.chief.write("called", callBody(1, step)) as AnyEntry);
  };
  return { book, say, call };
}
const missed = (book: Scorebook) =>
  missedCalls(book, 1).map(
    ({ candidate, steps }) =>
      `${candidate}: ${steps.map(({ item, side }) => [item ?? "list", side].filter(Boolean).join(" ")).join(", ")}`,
  );

describe("[Y225] what a child was not here for", () => {
  it("is what was called while it was away, but no close of a section, and nothing before or after", () => {
    const { book, say, call } = aDay("together");
    call(0);
    say("absent", two as CandidateId);
    for (const index of [1, 2, 3, 4, 5]) call(index);
    expect(missed(book)).toEqual([]);
    say("checked-in", two as CandidateId);
    const after = missed(book);
    expect(after).toHaveLength(1);
    expect(after).toEqual(["candidate-2: rising-block right, low-block right, list"]);
    // Said again of somebody who was here all the time.
    say("checked-in", one as CandidateId);
    expect(missed(book)).toEqual(after);
  });

  it("is, where children come one at a time, the turn in which others passed it, and none that is still to come", () => {
    const { book, say, call } = aDay("alone");
    say("absent", one as CandidateId);
    say("absent", two as CandidateId);
    // The third child alone, and stays.
    call(0);
    say("checked-in", one as CandidateId);
    expect(missed(book)[0]).toMatch(/^candidate-1: rising-block left/);
    expect(missed(book)).toHaveLength(1);
    // Whose turn comes behind the one on the floor has missed nothing.
    const late = aDay("alone");
    late.say("absent", two as CandidateId);
    late.call(0);
    late.say("checked-in", two as CandidateId);
    expect(missed(late.book)).toEqual([]);
  });

  it("[Y242] is told apart, where nobody had said that the child is away: it may have stood there all the same", () => {
    const { book, say, call } = aDay("together", []);
    for (const child of [one, two]) say("checked-in", child as CandidateId);
    for (const index of [0, 1, 2]) call(index);
    say("checked-in", "candidate-3" as CandidateId);
    const told = missedCalls(book, 1).map(({ candidate, was }) => `${candidate} ${was}`);
    expect(told).toEqual(["candidate-3 expected"]);
    // And where somebody had, it is said so.
    say("absent", two as CandidateId);
    call(3);
    call(4);
    say("checked-in", two as CandidateId);
    expect(missedCalls(book, 1).map(({ candidate, was }) => `${candidate} ${was}`)).toEqual([
      "candidate-2 away",
      "candidate-3 expected",
    ]);
  });
});
