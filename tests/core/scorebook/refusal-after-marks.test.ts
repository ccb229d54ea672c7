import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  ItemId,
  PersonId,
  RubricId,
  SectionId,
} from "../../../src/core/identity.ts";
import { refusal } from "../../../src/core/scorebook/permit.ts";
import { fold } from "../../../src/core/scorebook/scorebook.ts";
import { outcome } from "../../../src/core/verdict/outcome-of.ts";
import { panelCertainty } from "../../../src/core/verdict/panel-certainty.ts";
import { aCase } from "../../builders/a-case.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";

const [mia, ben] = ["candidate-1", "candidate-2"] as [CandidateId, CandidateId];
const reason = { id: "side-1", digest: "0".repeat(64) } as never;
const head = { person: "chief" as PersonId, roles: ["chief"] as const };
const atDesk = { person: "desk" as PersonId, roles: ["desk"] as const };
const blocks = "blocks" as SectionId;
const other = { ...aRubric(), id: "other" as RubricId };

function aDay() {
  const day = aTestDay();
  const { chief } = day;
  const desk = aPen("desk", "desk-tablet");
  const plan = [...day.plan, chief.write("frozen", { rubric: other })];
  desk.hear(100);
  const excuse = (pen = desk, section = "blocks", item = "rising-block") =>
    pen.write("excused", {
      ...{ candidate: mia, section: section as SectionId, item: item as ItemId, reason },
    });
  const entered = (number: number, rubric: RubricId, pen = desk) =>
    pen.write("entered", { candidate: mia, number, rubric });
  const opening = () => chief.write("revealed", { section: blocks, candidates: [mia], reason });
  const verdict = () =>
    chief.write("verdict", {
      ...{ candidate: mia, result: "retest", computed: "retest", retestSections: [], basis: {} },
    });
  return { ...day, plan, desk, excuse, entered, opening, verdict };
}

describe("what the desk says of a child after the marks", () => {
  it("[S200] excused from everything, a marked child is incomplete, and the others are reckoned on", () => {
    const cases = [1, 2, 3].map((who) => {
      const candidate = `candidate-${who}` as CandidateId;
      const one = aCase({ level: (_, judge) => 1 + ((judge + who) % 3), judges: 3 });
      return { ...one, candidate, marks: one.marks.map((mark) => ({ ...mark, candidate })) };
    });
    const certain = (isKept: (marking: unknown) => boolean) => {
      const given = cases.map((one, at) => {
        const items = one.rubric.sections
          .filter(({ marking }) => !isKept(marking))
          .flatMap(({ items }) => items.map(({ id }) => id));
        const its = at === 0 ? { ...one, excused: items } : one;
        return { ...its, outcome: outcome(its) };
      });
      return { of: given[0]?.outcome, found: panelCertainty(given) };
    };
    const all = certain(() => false);
    expect(all.of?.computed).toBe("incomplete");
    expect(all.found.get(mia)).toBe("incomplete");
    expect(all.found.get(ben)).toMatchObject({ flatJudges: expect.anything() });
    expect(certain((marking) => marking === "checklist").found.get(mia)).toBeTypeOf("string");
  });

  it("[S201] no excuse by the desk where marks are open, and by nobody after a verdict", () => {
    const { plan, chief, excuse, opening, verdict } = aDay();
    const before = excuse();
    expect(refusal(fold(plan), atDesk, before)).toBeNull();
    chief.hear(200);
    const open = [...plan, opening()];
    const desk = aPen("desk", "desk-2");
    desk.hear(300);
    expect(refusal(fold(open), atDesk, excuse(desk))?.code).toBe("SECTION_OPEN");
    expect(refusal(fold(open), head, excuse(chief))).toBeNull();
    // Written before the marks were open, and come late: order of arrival decides nothing.
    expect(refusal(fold(open), atDesk, before)).toBeNull();
    const issued = [...open, verdict()];
    expect(refusal(fold(issued), head, excuse(chief))?.code).toBe("SECTION_OPEN");
  });

  it("[S202] an excuse names what the child's rubric asks, where it asks it", () => {
    const { plan, chief, excuse } = aDay();
    const code = (section: string, item: string) =>
      refusal(fold(plan), head, excuse(chief, section, item))?.code;
    expect(code("nope", "rising-block")).toBe("ITEM_UNKNOWN");
    expect(code("blocks", "nope")).toBe("ITEM_UNKNOWN");
    expect(code("blocks", "rising-block")).toBeUndefined();
  });

  it("[S203] no other rubric from the desk once marked or called, no number of another", () => {
    const { plan, desk, chief, judges, entered, rubric } = aDay();
    const book = fold(plan);
    expect(refusal(book, atDesk, entered(1, other.id))).toBeNull();
    expect(refusal(book, atDesk, entered(2, rubric.id))?.code).toBe("NUMBER_TAKEN");
    expect(refusal(book, atDesk, entered(9, rubric.id))).toBeNull();
    const marked = fold([...plan, aMark((judges[0] as (typeof judges)[number]).pen)]);
    desk.hear(200);
    expect(refusal(marked, atDesk, entered(1, other.id))?.code).toBe("RUBRIC_BEGUN");
    expect(refusal(marked, atDesk, entered(9, rubric.id))).toBeNull();
    chief.hear(300);
    expect(refusal(marked, head, entered(1, other.id, chief))).toBeNull();
  });

  it("[S204] a recusal said again moves nothing, and thousands cost nothing", () => {
    const { plan, judges } = aDay();
    const [first, second] = judges as [(typeof judges)[number], (typeof judges)[number]];
    const step = (section: string) =>
      second.pen.write("recused", { candidate: mia, section: section as SectionId });
    const book = fold([...plan, aMark(first.pen), step("blocks")]);
    const version = book.planVersion;
    const judge = { person: second.person, roles: ["judge"] as const };
    const lines = Array.from({ length: 5000 }, () => step("blocks"));
    const from = performance.now();
    for (const again of lines) {
      if (refusal(book, judge, again)) throw new Error("refused");
      book.add(again);
      book.openedAt(mia, blocks);
    }
    const took = performance.now() - from;
    expect(book.planVersion).toBe(version);
    expect(book.isRecused(second.person, mia, blocks)).toBe(true);
    expect(refusal(book, judge, step("nope"))?.code).toBe("ITEM_UNKNOWN");
    expect(took).toBeLessThan(2000);
  });
});
