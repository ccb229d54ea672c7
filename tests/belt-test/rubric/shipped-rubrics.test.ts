import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { criteriaAt, markedSides } from "../../../src/belt-test/rubric/lookup.ts";
import { type Item, Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { markedAlike, script } from "../../../src/belt-test/script/script.ts";
import { shippedRubrics } from "../../builders/shipped-rubrics.ts";

const rubrics = shippedRubrics.map(({ json }) => Rubric.parse(json));
const items = rubrics.flatMap((rubric) => rubric.sections.flatMap((section) => section.items));

describe("the rubrics that come with the product", () => {
  it("[R1] are at least five steps: two junior, two adult, and a brown belt with a form and a combination", () => {
    expect(rubrics.filter(({ audience }) => audience === "junior").length).toBeGreaterThanOrEqual(
      2,
    );
    expect(rubrics.filter(({ audience }) => audience === "adult").length).toBeGreaterThanOrEqual(3);
    const brown = rubrics.find(({ to }) => to.belt.name.includes("brown"));
    const parts = brown?.sections.map(({ id }) => id as string);
    expect(parts).toEqual(expect.arrayContaining(["form", "combination"]));
  });

  it.each(shippedRubrics)("[R1] $file says that its school is invented", ({ json }) => {
    expect(Rubric.parse(json).about).toContain("invented");
  });

  it("[R2] one id is one technique: the same name, alias and kind in every rubric", () => {
    const names = new Map<string, string>();
    for (const { id, title, alias, group } of items) {
      const name = JSON.stringify({ title, alias, group });
      expect(names.get(id) ?? name).toBe(name);
      names.set(id, name);
    }
  });

  it("[R2] one section id is marked one way in every rubric, so that ranks may stand in one wave", () => {
    const ways = new Map<string, string>();
    for (const section of rubrics.flatMap(({ sections }) => sections)) {
      expect(ways.get(section.id) ?? section.marking).toBe(section.marking);
      ways.set(section.id, section.marking);
    }
  });

  it("[R2] of any two ranks in one wave, whoever stands first, each child is asked by its own sides", () => {
    const [one, two] = ["one", "two"] as [CandidateId, CandidateId];
    const differing = new Set<string>();
    for (const first of rubrics)
      for (const second of rubrics) {
        const candidates = [
          { candidate: one, rubric: first },
          { candidate: two, rubric: second },
        ];
        const steps = script({ candidates, isExcused: () => false });
        const asked = steps.flatMap(markedAlike).filter((step) => step.asked);
        for (const { candidate, rubric } of candidates)
          for (const section of rubric.sections)
            for (const item of section.marking === "checklist" ? [] : section.items) {
              const sides = asked
                .filter(
                  (step) =>
                    step.section === section.id &&
                    step.item === item.id &&
                    step.candidates.includes(candidate),
                )
                .map(({ markedSide }) => markedSide);
              expect([item.id, sides]).toEqual([item.id, markedSides(item)]);
            }
        const lists = [first, second].map(({ sections }) =>
          sections.filter(({ marking }) => marking === "line").flatMap(({ items: its }) => its),
        );
        for (const { id, sides } of lists[0] ?? [])
          for (const other of lists[1] ?? []) {
            if (other.id !== id || other.sides === sides) continue;
            differing.add(id);
            const called = steps.filter(({ item }) => item === id).map(({ side }) => side);
            expect([id, called]).toEqual([id, ["left", "right"]]);
          }
      }
    expect(differing.size).toBeGreaterThan(0);
  });

  // Common practice, no source: hand techniques in sets of six, kicks three a side.
  it("[R3] hand techniques come in sets of six and kicks three a side", () => {
    const ofGroup = (...groups: Item["group"][]) =>
      items.filter(({ group }) => groups.includes(group));
    expect(new Set(ofGroup("block", "strike").map(({ counts }) => counts))).toEqual(new Set([6]));
    expect(new Set(ofGroup("kick").map(({ counts, sides }) => `${counts} ${sides}`))).toEqual(
      new Set(["3 together"]),
    );
  });

  it("[R3] every escape is partner work, and locks, throws and grabs at the throat are for sixteen and over", () => {
    const escapes = items.filter(({ group }) => group === "self-defence");
    expect(escapes.every(({ partner }) => partner)).toBe(true);
    const gated = escapes.filter(({ id }) => /lock|throw|throat/.test(id));
    expect(gated.length).toBeGreaterThan(0);
    expect(gated.every(({ minimumAge }) => minimumAge === 16)).toBe(true);
  });

  // Three criteria an item is the first lever on a judge's load: see src/belt-test/planning/scoring-load.ts.
  it("[R3] no item of a line asks more than three criteria", () => {
    const asked = rubrics.flatMap((rubric) =>
      rubric.sections
        .filter(({ marking }) => marking === "line")
        .flatMap((section) => section.items.map((item) => criteriaAt(section, item).length)),
    );
    expect(Math.max(...asked)).toBe(3);
  });
});
