import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { Place } from "../../../src/belt-test/scorebook/cell.ts";
import { panelMarks } from "../../../src/belt-test/verdict/panel-marks.ts";
import { composites, type MarkedCells } from "../../../src/ratings/severity/composites.ts";
import { severities } from "../../../src/ratings/severity/severities.ts";
import { type Level, marksOf } from "../../builders/a-case.ts";
import { aRubric } from "../../builders/a-rubric.ts";

type Row = { candidate: number; judge: number; cell: number; level: number };
const marked = (rows: readonly Row[], weights: readonly number[]): MarkedCells => {
  const sorted = [...rows].sort((a, b) => a.candidate - b.candidate || a.judge - b.judge);
  const of = (name: keyof Row) => Int32Array.from(sorted, (row) => row[name]);
  return {
    judges: Math.max(...of("judge")) + 1,
    candidates: Math.max(...of("candidate")) + 1,
    candidate: of("candidate"),
    judge: of("judge"),
    cell: of("cell"),
    level: Float64Array.from(sorted, ({ level }) => level),
    weights: Float64Array.from(weights),
  };
};

describe("a judge's score of a candidate", () => {
  it("[P51] is the weighted mean of the marks, whatever their order", () => {
    const rubric = aRubric();
    const level = (place: Place, judge: number): Level =>
      place.criterion === "done" ? 2 : place.criterion === "stance" ? 4 : judge;
    const marks = marksOf(rubric, 3, level);
    const at = (given: typeof marks) =>
      composites(
        panelMarks([{ candidate: "candidate-1" as CandidateId, rubric, marks: given }]).cells,
      );
    const found = at(marks);
    // By hand: the section counts alone (a checklist is left out); three items of equal weight, stance is half of the one that is marked once a section.
    expect([...found.level].map((one) => one.toFixed(6))).toEqual(
      [1, 2, 3].map((judge) => ((5 / 6) * judge + 4 / 6).toFixed(6)),
    );
    expect([...found.share].every((one) => Math.abs(one - 1) < 1e-12)).toBe(true);
    expect(at([...marks].reverse())).toEqual(found);
  });

  it("[P60] does not take hard cells for a severe judge where judges saw different ones", () => {
    // Cell 1 is marked a level lower by everybody; judge 0 sees it often, judge 2 seldom.
    const rows = Array.from({ length: 12 }, (_, candidate) =>
      [0, 1, 2].flatMap((judge) =>
        [0, 1, 2, 3].flatMap((cell) => {
          const isSeen =
            cell === 0 ||
            (cell === 1 ? judge === 0 || candidate % 4 === 0 : judge !== 0 || candidate % 3 === 0);
          return isSeen
            ? [
                {
                  candidate,
                  judge,
                  cell,
                  level: 3 + 0.3 * Math.sin(candidate) - (cell === 1 ? 1 : 0),
                },
              ]
            : [];
        }),
      ),
    ).flat();
    const scores = composites(marked(rows, [0.25, 0.25, 0.25, 0.25]));
    const found = severities(scores);
    if (found.kind !== "estimated") throw new Error(found.reason);
    for (const { severity } of found.judges) expect(Math.abs(severity)).toBeLessThan(0.03);
  });

  it("[P56] leaves judges apart who never marked the same cell of the same candidate", () => {
    const rows = [0, 1, 2].flatMap((candidate) =>
      [0, 1].map((judge) => ({ candidate, judge, cell: judge, level: 2 + candidate - judge })),
    );
    const scores = composites(marked(rows, [0.5, 0.5]));
    expect(scores.groups).toEqual([0, 1]);
    expect(severities(scores)).toEqual({ kind: "not-possible", reason: "not-connected" });
  });

  it("[P59] refuses a cell marked twice, unsorted marks, NaN", () => {
    const one = { candidate: 0, judge: 0, cell: 0, level: 3 };
    expect(() => composites(marked([one, one], [1]))).toThrow("marked twice");
    expect(() => composites(marked([{ ...one, level: Number.NaN }], [1]))).toThrow(RangeError);
    const sorted = marked([one, { ...one, candidate: 1 }], [1]);
    sorted.candidate.reverse();
    expect(() => composites(sorted)).toThrow("not sorted");
    const rubric = aRubric();
    const twice = { candidate: "candidate-1" as CandidateId, rubric, marks: [] };
    expect(() => panelMarks([twice, twice])).toThrow("comes twice");
  });
});
