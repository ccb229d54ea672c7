import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { ownJudges } from "../../../src/belt-test/verdict/own-judges.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { anId } from "../../builders/an-id.ts";

const candidate = "candidate-1" as CandidateId;
const other = "candidate-2" as CandidateId;

/** A marked day on which the first judge has declared the first candidate an own student. */
function declared(marked: Parameters<typeof aMarkedDay>[0] = {}) {
  const { day, entries } = aMarkedDay(marked);
  const [first] = day.judges;
  if (!first) throw new Error("a judge");
  const related = first.pen.write("related", { candidate, relation: "own-student" });
  const all: AnyEntry[] = [...entries, related];
  return { book: fold(all), day, judge: first.person };
}

describe("whose own student somebody is", () => {
  it("[V36] names who declared it and marked, for that candidate alone", () => {
    const { book, judge } = declared();
    expect(ownJudges(book, candidate)).toEqual([judge]);
    expect(ownJudges(book, other)).toEqual([]);
  });
  it("[V36] names nobody whose marks the chief struck", () => {
    const { book, day, judge } = declared();
    book.add(
      day.chief.write("review-settled", {
        candidate,
        question: `relation/${judge}`,
        decision: "struck",
        judge: judge as PersonId,
        reason: { id: anId("r"), digest: "0".repeat(64) },
      }),
    );
    expect(ownJudges(book, candidate)).toEqual([]);
  });
  it("[V36] names nobody before marks are open", () => {
    expect(ownJudges(declared({ locks: () => false }).book, candidate)).toEqual([]);
  });
});
