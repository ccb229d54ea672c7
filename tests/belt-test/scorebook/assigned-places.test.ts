import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { assignedPlaces } from "../../../src/belt-test/scorebook/assigned-places.ts";
import { placeKey } from "../../../src/belt-test/scorebook/cell.ts";
import { readEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const judge = "judge-1" as PersonId;
const one = "candidate-1" as CandidateId;
const blocks = "blocks" as SectionId;
const keys = (...args: Parameters<typeof assignedPlaces>) => assignedPlaces(...args).map(placeKey);

describe("the cells a judge is to fill", () => {
  it("are every criterion of every item, apart for sides that are marked apart, and the once-a-section ones last", () => {
    const day = aTestDay();
    // Worked by hand from the small rubric: 2 sides × 3, both sides together × 2, once a section × 2.
    expect(keys(fold(day.plan), judge, one, blocks)).toEqual([
      "blocks/rising-block/left/chamber",
      "blocks/rising-block/left/extension",
      "blocks/rising-block/left/target",
      "blocks/rising-block/right/chamber",
      "blocks/rising-block/right/extension",
      "blocks/rising-block/right/target",
      "blocks/low-block//chamber",
      "blocks/low-block//target",
      "blocks///stance",
      "blocks///spirit",
    ]);
    expect(keys(fold(day.plan), judge, one, "etiquette" as SectionId)).toEqual([
      "etiquette/bows-in//done",
      "etiquette/ties-belt//done",
    ]);
  });

  it.each([{}, { why: "age" }, { why: "a word of next year" }])(
    "[S152] leave out an item that is excused, whether the book says why (%o) or not",
    (why) => {
      const day = aTestDay();
      const candidate = day.candidates[0] as CandidateId;
      const excused = day.chief.write("excused", {
        candidate,
        section: "blocks" as SectionId,
        item: "low-block" as ItemId,
      });
      const read = readEntry({ ...excused, body: { ...excused.body, ...why } });
      if (!read.ok) throw new Error(read.message);
      const book = fold([...day.plan, read.entry]);
      const judge = "judge-1" as PersonId;
      const places = assignedPlaces(book, judge, candidate, "blocks" as SectionId);
      expect(places.some(({ item }) => item === "rising-block")).toBe(true);
      expect(places.some(({ item }) => item === "low-block")).toBe(false);
    },
  );

  it("leave out excused items, recused judges and people who are not assigned", () => {
    const day = aTestDay();
    const excused = day.chief.write("excused", {
      candidate: one,
      section: blocks,
      item: "rising-block" as ItemId,
      why: "age",
    });
    const book = fold([...day.plan, excused]);
    expect(keys(book, judge, one, blocks)).toHaveLength(4);
    expect(keys(book, "caller" as PersonId, one, blocks)).toEqual([]);
    const recused = day.judges[0]?.pen.write("recused", { candidate: one, section: null });
    expect(keys(fold([...day.plan, ...(recused ? [recused] : [])]), judge, one, blocks)).toEqual(
      [],
    );
  });

  it("add up where a panel splits the work by criterion, and follow the judge who takes over", () => {
    const day = aTestDay({ judges: 0 });
    const split = (who: string, criteria: string[]) =>
      day.chief.write("assigned", {
        judge: who as PersonId,
        section: blocks,
        candidates: [one],
        criteria: criteria as CriterionId[],
      });
    const plan = [...day.plan, split("a", ["chamber"]), split("b", ["stance"])];
    expect(keys(fold(plan), "a" as PersonId, one, blocks)).toHaveLength(3);
    const replaced = day.chief.write("judge-replaced", {
      judge: "a" as PersonId,
      by: "b" as PersonId,
    });
    const book = fold([...plan, replaced]);
    expect(keys(book, "a" as PersonId, one, blocks)).toEqual([]);
    expect(keys(book, "b" as PersonId, one, blocks)).toHaveLength(4);
  });
});
