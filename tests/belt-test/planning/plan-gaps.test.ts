import { describe, expect, it } from "vitest";
import type { CandidateId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { planGaps } from "../../../src/belt-test/planning/plan-gaps.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const codesOf = (gaps: ReturnType<typeof planGaps>) => gaps.map(({ code }) => code);
const seat = (person: string, role: "caller" | "desk") =>
  aPen("chief", `chief-${person}`).write("seated", { person: person as PersonId, roles: [role] });

// Worked by hand; no source.
describe("what a plan lacks", () => {
  it("is everything for an empty book, and nothing for a whole plan", () => {
    expect(codesOf(planGaps(fold([])))).toEqual([
      "NO_RUBRIC",
      "NO_CANDIDATE",
      "NO_JUDGE",
      "NO_CALLER",
      "NO_DESK",
    ]);
    const { plan } = aTestDay({ candidates: 2 });
    const whole = [...plan, seat("lund", "caller"), seat("prentice", "desk")];
    expect(planGaps(fold(whole))).toEqual([]);
  });

  it("names the lane nobody watches, and in which sections", () => {
    const { plan } = aTestDay({ candidates: 2 });
    const lines = plan.filter(
      ({ kind, body }) =>
        kind !== "assigned" || (body as { section?: string }).section === "blocks",
    );
    expect(planGaps(fold(lines))).toContainEqual({
      weight: "needed",
      code: "LANE_UNWATCHED",
      wave: 1,
      lane: 2,
      candidate: "candidate-2",
      sections: ["etiquette"],
    });
  });

  it("asks nothing about the lane of somebody who does not come", () => {
    const { plan, chief } = aTestDay({ candidates: 1 });
    const book = fold([
      ...plan.filter(({ kind }) => kind !== "assigned"),
      chief.write("unfit", { candidate: "candidate-1" as CandidateId }),
    ]);
    expect(codesOf(planGaps(book))).toEqual(["NO_CANDIDATE", "NO_CALLER", "NO_DESK"]);
  });

  it("[Y238] names a section that children of one wave are marked in otherwise, and nobody who stands in another or does not come", () => {
    const { plan, chief } = aTestDay({ candidates: 3 });
    const rubric = aRubric();
    const sections = rubric.sections.map((section) =>
      section.id === "blocks" ? { ...section, marking: "single" as const } : section,
    );
    const frozen = chief.write("frozen", {
      rubric: { ...rubric, id: "alone" as RubricId, sections },
    });
    const [one, two, three] = ["candidate-1", "candidate-2", "candidate-3"] as [
      CandidateId,
      CandidateId,
      CandidateId,
    ];
    const enter = (candidate: CandidateId, number: number) =>
      chief.write("entered", { candidate, number, rubric: "alone" as RubricId });
    const mixed = [...plan, frozen, enter(two, 2), enter(three, 3)];
    const found = (more: readonly AnyEntry[]) =>
      planGaps(fold([...mixed, ...more])).filter(({ code }) => code === "SECTION_TWO_WAYS");
    const gap = { weight: "needed", code: "SECTION_TWO_WAYS", wave: 1, section: "blocks" };
    expect(found([])).toEqual([{ ...gap, candidates: [two, three] }]);
    expect(found([chief.write("absent", { candidate: two })])).toEqual([
      { ...gap, candidates: [three] },
    ]);
    expect(found([chief.write("absent", { candidate: one })])).toEqual([]);
    expect(
      found([
        chief.write("lined-up", { wave: 1, lanes: [one] }),
        chief.write("lined-up", { wave: 2, lanes: [two, three] }),
      ]),
    ).toEqual([]);
  });

  it("asks about a lane with fewer judges than the quorum", () => {
    const { plan } = aTestDay({ judges: 1, candidates: 1 });
    expect(planGaps(fold(plan))).toContainEqual({
      weight: "advice",
      code: "LANE_BELOW_QUORUM",
      wave: 1,
      lane: 1,
      candidate: "candidate-1",
      watching: 1,
      quorum: 2,
    });
    expect(codesOf(planGaps(fold(plan)))).toContain("FEWER_JUDGES_THAN_QUORUM");
  });

  it("names who stands nowhere, and who stands twice; the absent are no gap", () => {
    const { plan, chief } = aTestDay({ candidates: 3 });
    const book = fold([
      ...plan,
      chief.write("lined-up", { wave: 1, lanes: ["candidate-1" as CandidateId] }),
      chief.write("lined-up", { wave: 2, lanes: ["candidate-1" as CandidateId] }),
      chief.write("absent", { candidate: "candidate-3" as CandidateId }),
    ]);
    expect(planGaps(book)).toContainEqual({
      weight: "needed",
      code: "WITHOUT_WAVE",
      candidates: ["candidate-2"],
    });
    expect(planGaps(book)).toContainEqual({
      weight: "needed",
      code: "IN_TWO_WAVES",
      candidates: ["candidate-1"],
    });
  });

  it("asks about a judge who watches more lanes than can be carried", () => {
    const { plan } = aTestDay({ candidates: 12 });
    const load = planGaps(fold(plan)).find(({ code }) => code.startsWith("LOAD"));
    expect(load).toMatchObject({ wave: 1, judge: "judge-1", lanes: 12, code: "LOAD_TOO_HEAVY" });
    const { plan: small, chief } = aTestDay({ candidates: 12, judges: 1 });
    const relieved = chief.write("assigned", {
      judge: "judge-1" as PersonId,
      section: "blocks" as SectionId,
      wave: 1,
      candidates: [],
    });
    const unwaved = small.filter(({ kind }) => kind !== "assigned");
    expect(codesOf(planGaps(fold([...unwaved, relieved])))).not.toContain("LOAD_TOO_HEAVY");
  });
});
