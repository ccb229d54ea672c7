import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { nameOf, namesIn } from "../../../src/belt-test/scorebook/name-in.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { SideRecordId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const mia = "candidate-1" as CandidateId;
const record = (id: string, body: object): SideRecord => ({
  ...{ id: id as SideRecordId, grading: aGradingId, about: mia, kind: "candidate" },
  ...{ salt: "0".repeat(32), body: body as SideRecord["body"] },
});
const ref = ({ id }: SideRecord) => ({ id, digest: "0".repeat(64) });

describe("what somebody is called", () => {
  it("[S247] is what the book says last, in whatever order the records of a corrected name lie", () => {
    const day = aTestDay();
    const [old, now] = ["Old", "New"].map((kind) => [
      record(`${kind}-given`, { given: `${kind} given` }),
      record(`${kind}-rest`, { family: `${kind} family`, birthYear: 2016 }),
    ]) as [SideRecord[], SideRecord[]];
    const lines = [old, now].map(([given, rest]) =>
      day.chief.write("entered", {
        ...{ candidate: mia, number: 1, rubric: day.rubric.id },
        given: ref(given as SideRecord),
        details: ref(rest as SideRecord),
      }),
    );
    const book = fold([...day.plan, ...lines]);
    const all = [...old, ...now];
    fc.assert(
      fc.property(fc.shuffledSubarray(all, { minLength: all.length }), (records) => {
        expect(nameOf(book, mia, records)).toBe("New given New family");
        expect(namesIn(records).sort()).toEqual([
          ...["New given New family", "New given Old family"],
          ...["Old given New family", "Old given Old family"],
        ]);
      }),
    );
    // Part of it was sent here, or is left.
    expect(nameOf(book, mia, now.slice(1))).toBe("New family");
    expect(nameOf(book, mia, [])).toBe("");
  });

  it("[S247] is found as it is shown, without what is not seen in it", () => {
    expect(namesIn([record("a", { given: " A\u202eda\u200b ", family: "Lind" })])).toEqual([
      "A da Lind",
    ]);
    expect(namesIn([record("a", { text: "words", given: 7 })])).toEqual([]);
  });
});
