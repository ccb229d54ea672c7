import { describe, expect, it } from "vitest";
import type { CandidateId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { strayMarks } from "../../../src/belt-test/scorebook/stray-marks.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const mia = "candidate-1" as CandidateId;

describe("marks that belong nowhere", () => {
  // The hub's own copy of the day was refused by report, import and verify.
  it("[S273] are none that fitted a rubric the child had, before it was corrected or replaced", () => {
    const { chief, judges, plan } = aTestDay({ judges: 1, candidates: 1 });
    const pen = judges[0]?.pen;
    if (!pen) throw new Error("no judge");
    const first = aRubric();
    const sections = first.sections.filter(({ id }) => id !== ("blocks" as SectionId));
    const other = { ...first, id: "other" as RubricId, sections };
    const entries: AnyEntry[] = [
      ...plan,
      chief.write("frozen", { rubric: other }),
      aMark(pen, { candidate: mia }),
      aMark(pen, { candidate: mia, level: 99 }),
      chief.write("entered", { candidate: mia, number: 1, rubric: other.id }),
      aMark(pen, { candidate: mia, item: "no-such-block" }),
    ];
    const found = () =>
      strayMarks(fold(entries), entries).map(({ entry, fault }) => [entry, fault.code]);
    const strays = [
      [plan.length + 2, "ITEM_UNKNOWN"],
      [plan.length + 4, "ITEM_UNKNOWN"],
    ];
    expect(found()).toEqual(strays);
    // A replacement excuses no mark that fitted neither.
    entries.push(
      chief.write("rubric-replaced", {
        rubric: { ...other, version: other.version + 1 },
        reason: { id: anId("why"), digest: "0".repeat(64) },
      }),
    );
    expect(found()).toEqual(strays);
  });
});
