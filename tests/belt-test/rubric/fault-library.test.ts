import { describe, expect, it } from "vitest";
import type { CriterionId, FaultId } from "../../../src/belt-test/identity.ts";
import {
  FaultLibrary,
  faultsFor,
  practiceFor,
} from "../../../src/belt-test/rubric/fault-library.ts";
import { criteriaAt } from "../../../src/belt-test/rubric/lookup.ts";
import { DONE, Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { shippedFaultLibrary, shippedRubrics } from "../../builders/shipped-rubrics.ts";

const library = FaultLibrary.parse(shippedFaultLibrary);
const rubrics = shippedRubrics.map(({ json }) => Rubric.parse(json));
const sections = rubrics.flatMap((rubric) => rubric.sections);

describe("the fault library", () => {
  it("[R4] has each fault and each practice once", () => {
    const ids = library.faults.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    const pairs = library.practice.map(({ criterion, group }) => `${criterion}/${group}`);
    expect(new Set(pairs).size).toBe(pairs.length);
  });

  it("[R4] no two keys of one rail read the same", () => {
    for (const section of sections)
      for (const item of section.items)
        for (const criterion of criteriaAt(section, item)) {
          const chips = faultsFor(library, section, item, criterion).map(({ chip }) => chip);
          expect(new Set(chips).size, `${item.id}/${criterion}`).toBe(chips.length);
        }
  });

  it("[R4] every fault a rubric names is in the library, and of a criterion asked there", () => {
    for (const section of sections)
      for (const item of section.items) {
        const asked = [...criteriaAt(section, item), ...criteriaAt(section, null)];
        const offered = asked.flatMap((criterion) =>
          faultsFor(library, section, item, criterion).map(({ id }) => id),
        );
        expect(offered, item.id).toEqual(expect.arrayContaining(item.faults));
      }
  });

  it("[R4] offers what the item names first, in the item's order", () => {
    const section = sections.find(({ id }) => (id as string) === "kicks");
    const kick = section?.items.find(({ id }) => (id as string) === "front-kick");
    if (!section || !kick) throw new Error("no front kick");
    const named = { ...kick, faults: ["no-pull-back", "foot-before-knee"] as FaultId[] };
    const offered = faultsFor(library, section, named, "chamber" as CriterionId);
    expect(offered.map(({ id }) => id as string)).toEqual([
      "no-pull-back",
      "foot-before-knee",
      "round-kick-straight",
    ]);
  });

  it("[R4] offers a checklist what fits its kind, and a criterion it does not know nothing", () => {
    const section = sections.find(({ id }) => (id as string) === "etiquette");
    if (!section?.items[0]) throw new Error("no etiquette");
    const offered = faultsFor(library, section, section.items[0], DONE);
    expect(offered.length).toBeGreaterThan(0);
    expect(offered.every(({ groups }) => groups.includes("etiquette"))).toBe(true);
    expect(faultsFor(library, section, section.items[0], "no-such" as CriterionId)).toEqual([]);
  });

  it("[R5] has a practice task wherever a shipped rubric asks for a mark", () => {
    for (const section of sections)
      for (const item of section.items)
        for (const criterion of [...criteriaAt(section, item), ...criteriaAt(section, null)])
          expect(
            practiceFor(library, criterion, item.group),
            `${criterion}/${item.group}`,
          ).toBeDefined();
  });
});
