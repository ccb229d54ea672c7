import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { suggestedWaves } from "../../../src/belt-test/planning/suggested-waves.ts";
import { lineLoad } from "../../../src/belt-test/rubric/line-load.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aRubric } from "../../builders/a-rubric.ts";

const people = (count: number) =>
  Array.from({ length: count }, (_, index) => `judge-${index + 1}` as PersonId);
const children = (count: number, rubric = aRubric().id) =>
  Array.from({ length: count }, (_, index) => ({
    candidate: `${rubric}-${index + 1}` as CandidateId,
    rubric,
  }));

// Worked by hand; no source.
describe("suggested waves", () => {
  it("puts everybody in one lane, a quorum on every lane, and on no judge more than can be carried", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 1, max: 7 }),
        fc.integer({ min: 1, max: 5 }),
        (count, judges, quorum) => {
          const rubric = aRubric({ panel: { quorum, combine: "mean" } });
          const candidates = children(count);
          const waves = suggestedWaves({ candidates, judges: people(judges), rubrics: [rubric] });
          expect(waves.flatMap(({ lanes }) => lanes)).toEqual(
            candidates.map(({ candidate }) => candidate),
          );
          for (const { lanes, watches } of waves) {
            for (const candidate of lanes) {
              const watching = [...watches.values()].filter((seen) => seen.includes(candidate));
              expect(watching.length).toBeGreaterThanOrEqual(Math.min(quorum, judges));
            }
            const carries = Math.max(1, lineLoad(rubric, 1)?.carries ?? 0);
            for (const seen of watches.values()) expect(seen.length).toBeLessThanOrEqual(carries);
          }
        },
      ),
    );
  });

  it("keeps ranks apart, and makes waves as even as can be", () => {
    const junior = aRubric();
    const adult = aRubric({ id: "white-to-yellow-adult" });
    const waves = suggestedWaves({
      candidates: [...children(7), ...children(1, adult.id)],
      judges: people(5),
      rubrics: [junior, adult],
    });
    expect(waves.map(({ wave, lanes }) => [wave, lanes.length])).toEqual([
      [1, 4],
      [2, 3],
      [3, 1],
    ]);
  });

  it("makes waves that nobody watches when nobody is seated, and none for nobody", () => {
    const [wave] = suggestedWaves({ candidates: children(2), judges: [], rubrics: [aRubric()] });
    expect(wave?.lanes).toHaveLength(2);
    expect(wave?.watches.size).toBe(0);
    expect(suggestedWaves({ candidates: [], judges: people(3), rubrics: [aRubric()] })).toEqual([]);
  });
});
