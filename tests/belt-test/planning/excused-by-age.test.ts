import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { agesOut, dueByAge } from "../../../src/belt-test/planning/excused-by-age.ts";
import type { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import type { EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { aGatedRubric } from "../../builders/a-gated-rubric.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const mia = "candidate-1" as CandidateId;
const blocks = "blocks" as SectionId;
const forAge = { id: anId("for-age"), digest: "0".repeat(64) };
const forMore = { id: anId("for-more"), digest: "0".repeat(64) };

const due = (lines: readonly AnyEntry[], birthYear?: number, begun: readonly string[] = []) =>
  dueByAge(fold(lines), mia, {
    details: { birthYear },
    isForAge: ({ reason }) => reason?.id === forAge.id,
    isBegun: (_, item) => begun.includes(item),
  });

describe("who is too young for an item", () => {
  const age = fc.option(fc.integer({ min: 6, max: 16 }), { nil: undefined });
  const step = fc.oneof(
    fc.record({ year: fc.option(fc.integer({ min: 2008, max: 2020 }), { nil: undefined }) }),
    fc.record({ low: age, rising: age }),
    fc.record({ day: fc.integer({ min: 2024, max: 2028 }) }),
  );

  it("[S303] is excused, and nobody else, by the year, rubric and day that stand, in whatever order they were written", () => {
    fc.assert(
      fc.property(fc.array(step, { maxLength: 6 }), (steps) => {
        const day = aTestDay();
        const lines: AnyEntry[] = [...day.plan];
        let year: number | undefined;
        let version = 1;
        for (const one of steps) {
          if ("year" in one) year = one.year;
          else if ("day" in one)
            lines.push(day.chief.write("opened", { title: "T", date: `${one.day}-06-06` }));
          else
            lines.push(
              day.chief.write("frozen", {
                rubric: aGatedRubric(++version, {
                  "low-block": one.low,
                  "rising-block": one.rising,
                }),
              }),
            );
          for (const body of due(lines, year))
            lines.push(day.chief.write("excused", { ...body, reason: forAge }));
        }
        for (const body of due(lines, year))
          lines.push(day.chief.write("excused", { ...body, reason: forAge }));
        expect(due(lines, year)).toEqual([]);
        const { plan } = fold(lines);
        const rubric = plan.rubricOf(mia) as Rubric;
        const young = agesOut(rubric, year, plan.opened?.date ?? "").map(({ item }) => item);
        const asked = rubric.sections.flatMap(({ items }) => items.map(({ id }) => id));
        expect(asked.filter((item) => plan.excuse(mia, item))).toEqual(young);
      }),
    );
  });

  it("[S303] stays as somebody said it for another reason, and as it was begun with", () => {
    const day = aTestDay();
    const plan = [
      ...day.plan,
      day.chief.write("frozen", { rubric: aGatedRubric(2, { "low-block": 12 }) }),
    ];
    const low = { candidate: mia, section: blocks, item: "low-block" as ItemId };
    expect(due(plan, 2016)).toEqual([low]);
    expect(due(plan, 2016, ["low-block"])).toEqual([]);
    const chiefs = (more: Partial<EntryBody<"excused">>) =>
      day.chief.write("excused", { ...low, reason: forMore, ...more });
    expect(due([...plan, chiefs({})], 2008)).toEqual([]);
    expect(due([...plan, chiefs({ lifted: true })], 2016)).toEqual([]);
    const excused = day.chief.write("excused", { ...low, reason: forAge });
    expect(due([...plan, excused], 2008)).toEqual([{ ...low, lifted: true }]);
    expect(due([...plan, excused], 2008, ["low-block"])).toEqual([]);
  });

  it("is not asked where nothing is known of the child, and of no verdict", () => {
    const day = aTestDay();
    const book = fold([
      ...day.plan,
      day.chief.write("frozen", { rubric: aGatedRubric(2, { "low-block": 12 }) }),
    ]);
    const nobody = { details: undefined, isForAge: () => true, isBegun: () => false };
    expect(dueByAge(book, mia, nobody)).toEqual([]);
    const verdict = day.chief.write("verdict", {
      ...{ candidate: mia, result: "retest", computed: "retest", retestSections: [], basis: {} },
    });
    book.add(verdict);
    expect(dueByAge(book, mia, { ...nobody, details: {} })).toEqual([]);
    const elsewhere = day.chief.write("entered", {
      ...{ candidate: mia, number: 1, rubric: "unknown" as RubricId },
    });
    expect(dueByAge(fold([...day.plan, elsewhere]), mia, { ...nobody, details: {} })).toEqual([]);
  });
});
