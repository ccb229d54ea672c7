import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  RubricId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { DONE } from "../../../src/belt-test/rubric/rubric.ts";
import { scaleOf } from "../../../src/belt-test/rubric/scale.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { strayMarks } from "../../../src/belt-test/scorebook/stray-marks.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId, TextRef } from "../../../src/book/identity.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";

const mia = "candidate-1" as CandidateId;
const reason = { id: "side-1", digest: "0".repeat(64) } as TextRef;
const its = aRubric();
/** The same sections with one level less, and one item on each side that the other has once. */
const narrow = {
  ...aRubric(),
  id: "narrow" as RubricId,
  scale: { ...its.scale, levels: its.scale.levels.slice(1), meetsLevel: its.scale.meetsLevel - 1 },
};

/** Marked by two judges by one rubric, corrected to another, marked by a third by that. */
function aDay() {
  const day = aTestDay({ judges: 3, candidates: 1 });
  const [anna, bo, cyd] = day.judges as [TestDay["judges"][number], ...TestDay["judges"]];
  const by = (judge: typeof anna | undefined, rubric: typeof its, more = {}) => {
    const mark = aMark((judge as typeof anna).pen, { candidate: mia, level: 2, ...more });
    return { ...mark, body: { ...mark.body, scale: scaleOf(rubric) } } as AnyEntry;
  };
  const list = {
    section: "etiquette" as SectionId,
    item: its.sections.find(({ id }) => id === "etiquette")?.items[0]?.id as ItemId,
    side: null,
    criterion: DONE as CriterionId,
  };
  const early = [by(anna, its), by(bo, its), by(anna, its, list)];
  day.chief.hear(200);
  const frozen = day.chief.write("frozen", { rubric: narrow }) as AnyEntry;
  const corrected = day.chief.write("entered", {
    ...{ candidate: mia, number: 1, rubric: narrow.id, reason },
  }) as AnyEntry;
  const back = day.chief.write("entered", {
    ...{ candidate: mia, number: 1, rubric: its.id, reason },
  }) as AnyEntry;
  return { ...day, early, frozen, corrected, back, late: by(cyd, narrow) };
}
const said = (entries: readonly AnyEntry[]) => {
  const { marks } = fold(entries);
  const found = [...marks.of(mia, "now"), ...marks.of(mia, "verdict"), ...marks.of(mia, "lock")];
  return [...new Set(found.map(({ judge, section }) => `${judge} ${section}`))].sort();
};

describe("[S312] a level that was given by another scale than the child is tested by", () => {
  it("says nothing, in whatever order the lines are heard, and is read again once the child is tested by its own", () => {
    const { plan, early, frozen, corrected, back, late } = aDay();
    const all = [...early, frozen, corrected, late];
    fc.assert(
      fc.property(fc.shuffledSubarray(all, { minLength: all.length }), (order) => {
        expect(said([...plan, ...order])).toEqual(["judge-1 etiquette", "judge-3 blocks"]);
        expect(said([...plan, ...order, back])).toEqual([
          "judge-1 blocks",
          "judge-1 etiquette",
          "judge-2 blocks",
        ]);
      }),
    );
    const { marks } = fold([...plan, ...all]);
    const place = { ...(early[0] as ReturnType<typeof aMark>).body };
    const criterion = place.cells[0]?.criterion as CriterionId;
    expect(marks.cell("judge-1" as PersonId, mia, { ...place, criterion })).toBeUndefined();
    expect(marks.cell("judge-3" as PersonId, mia, { ...place, criterion })?.level).toBe(2);
  });

  it("keeps the chief from giving its own scale back no more than a list does that was marked", () => {
    const { plan, early, frozen, corrected, back } = aDay();
    const chief = { person: "chief" as PersonId, roles: ["chief" as const] };
    // The correction was acknowledged once, and comes last: all is blank by it but the list.
    const late = [...plan, ...early, frozen, corrected];
    expect(said(late)).toEqual(["judge-1 etiquette"]);
    expect(refusal(fold(late), chief, back)).toBeNull();
    // By the scale they were given by they are kept from another.
    expect(refusal(fold([...plan, ...early, frozen]), chief, corrected)?.code).toBe(
      "RUBRIC_MISFIT",
    );
  });

  it("is no stray of a file, and keeps the chief from no correction", () => {
    const { plan, frozen, corrected, late } = aDay();
    // A hub put back from an older copy has the marks, and not the word of the rubric they were given by.
    const without = [...plan, frozen, late];
    expect(strayMarks(fold(without), without)).toEqual([]);
    const chief = { person: "chief" as PersonId, roles: ["chief" as const] };
    expect(refusal(fold(without), chief, corrected)).toBeNull();
    expect(said([...without, corrected])).toEqual(["judge-3 blocks"]);
  });
});
