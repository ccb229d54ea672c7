import { expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { placeKey } from "../../../src/belt-test/scorebook/cell.ts";
import type { CandidateCase } from "../../../src/belt-test/verdict/outcome.ts";
import { reconcile } from "../../../src/belt-test/verdict/reconcile.ts";
import { smallestChange } from "../../../src/belt-test/verdict/smallest-change.ts";
import { weighing } from "../../../src/belt-test/verdict/weighing.ts";
import { aCase } from "../../builders/a-case.ts";
import { shippedRubrics } from "../../builders/shipped-rubrics.ts";

const rubrics = shippedRubrics.map(({ json }) => Rubric.parse(json));

type Lines = { floors: Record<string, number>; mustShow: string | null };
/** The rubric with one line to reach besides the total, and a total that is easily reached. */
const withOnly = (rubric: Rubric, { floors, mustShow }: Lines): Rubric => ({
  ...rubric,
  pass: { ...rubric.pass, mark: 45 },
  sections: rubric.sections.map((section) => ({
    ...section,
    floor: floors[section.id] ?? 0,
    items: section.items.map(({ mustShow: its, ...item }) => ({
      ...item,
      ...(item.id === mustShow && its ? { mustShow: its } : {}),
    })),
  })),
});
const onlyLines = (rubric: Rubric): Lines[] =>
  rubric.sections.flatMap(({ id, floor, items, marking }): Lines[] => [
    ...(floor > 0 && marking !== "checklist" ? [{ floors: { [id]: floor }, mustShow: null }] : []),
    ...items.flatMap((item) => (item.mustShow ? [{ floors: {}, mustShow: item.id }] : [])),
  ]);

/** Two who are good and one who shows nothing where the line is asked, by judges who agree. */
function threeMarked(rubric: Rubric): CandidateCase[] {
  const { sections, cells } = weighing(rubric);
  const [line] = sections.flatMap(({ lines }) => lines.filter(({ at }) => at.n > 0n));
  const asked = new Set(
    line?.cells.map((at) => placeKey((cells[at] as (typeof cells)[number]).place)),
  );
  return [false, false, true].map((isShort, who) => {
    const candidate = `candidate-${who + 1}` as CandidateId;
    const from = aCase({
      rubric,
      judges: 3,
      level: (place) => {
        if (place.criterion === "done") return 2;
        if (isShort && asked.has(placeKey(place))) return 1;
        return placeKey(place).length % 2 === who % 2 ? 3 : 4;
      },
    });
    return { ...from, candidate, marks: from.marks.map((one) => ({ ...one, candidate })) };
  });
}

it.each(rubrics.map((rubric) => [rubric.id, rubric] as const))(
  "[V140] %s: who falls short of one line alone is told so by result, certainty and the fewest marks",
  (_, rubric) => {
    const lines = onlyLines(rubric);
    expect(lines.some(({ mustShow }) => mustShow)).toBe(true);
    expect(lines.some(({ mustShow }) => !mustShow)).toBe(true);
    for (const one of lines) {
      const cases = threeMarked(withOnly(rubric, one));
      const { outcomes } = reconcile(cases.map((from) => ({ from, locked: from.marks })));
      const said = cases.map((from, at) => {
        const { computed, certainty } = outcomes[at] ?? {};
        return [computed, (certainty?.pass ?? Number.NaN) > 0.5, smallestChange(from)?.to];
      });
      const good = ["pass", true, "retest"];
      expect(said).toEqual([good, good, ["retest", false, "pass"]]);
    }
  },
);
