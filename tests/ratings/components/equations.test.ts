import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { nearRows } from "../../../src/ratings/components/near-rows.ts";
import { reml } from "../../../src/ratings/components/reml.ts";
import { termOf } from "../../../src/ratings/components/term.ts";
import { chanceFrom } from "../../../src/ratings/statistics/chance.ts";
import { solved } from "../../../src/ratings/statistics/solved.ts";
import { markColumns } from "../../builders/mark-columns.ts";
import { denseLikelihood, indicators } from "./dense-likelihood.ts";

const names = ["candidate", "judge", "item"] as const;

/** An invented panel of 5 candidates × 3 judges × 3 items with a share of the cells missing. */
function panel(seed: number, missing: number) {
  const chance = chanceFrom(seed);
  const severity = [chance(), chance(), chance()];
  const rows = [0, 1, 2, 3, 4].flatMap((candidate) =>
    [0, 1, 2].flatMap((judge) =>
      [0, 1, 2].flatMap((item) => {
        const mark = candidate / 2 + (severity[judge] as number) + chance() + chance() * item;
        return chance() < missing ? [] : [{ candidate, judge, item, mark }];
      }),
    ),
  );
  return markColumns(rows, names);
}

describe("the equations, which never write the marks' covariance out", () => {
  const models = [
    [["candidate"], ["judge"]],
    [["candidate"], ["judge"], ["item"], ["candidate", "judge"]],
    [["candidate"], ["candidate", "judge"], ["candidate", "item"]],
  ];
  it("[P25] say the same likelihood and the same standard errors as the textbook, which does", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1e6 }),
        fc.constantFrom(0, 0.1, 0.4),
        fc.constantFrom(...models),
        (seed, missing, model) => {
          const columns = panel(seed, missing);
          const fit = reml(columns, model, []);
          if ("reason" in fit) return;
          const variances = fit.components.map(({ variance }) => variance);
          const effects = model.map((one) => {
            const { codes, levels } = termOf(one, columns);
            return indicators(codes, levels);
          });
          const marks = [...columns.marks];
          const wanted = denseLikelihood(marks, effects, variances, fit.residual.variance);
          expect(Math.abs(fit.criterion - wanted.criterion)).toBeLessThan(1e-5);
          const free = [...variances.keys(), variances.length].filter((k) => variances[k] !== 0);
          const matrix = free.map((i) => free.map((j) => wanted.information[i]?.[j] as number));
          free.forEach((k, place) => {
            const column = solved(
              matrix,
              free.map((_, i) => (i === place ? 1 : 0)),
            );
            const se = k === variances.length ? fit.residual.se : fit.components[k]?.se;
            // Ours are those of the step before the last.
            expect((se ?? 0) / Math.sqrt(column?.[place] ?? Number.NaN)).toBeCloseTo(1, 2);
          });
        },
      ),
      { numRuns: 60 },
    );
  });

  it("[P25] leave out a fixed effect that another one decides, in either order", () => {
    // Whoever knows the candidate knows the group.
    const rows = [0, 1, 2, 3, 4, 5].flatMap((candidate) =>
      [0, 1, 2].flatMap((judge) =>
        candidate === 4 && judge === 1
          ? []
          : [
              {
                candidate,
                judge,
                group: candidate % 2,
                mark: candidate + judge / 2 + ((candidate * judge) % 3) / 4,
              },
            ],
      ),
    );
    const columns = markColumns(rows, ["candidate", "judge", "group"]);
    const wanted = reml(columns, [["judge"]], [["candidate"]]);
    if ("reason" in wanted) throw new Error(wanted.reason);
    for (const fixed of [
      [["candidate"], ["group"]],
      [["group"], ["candidate"]],
    ]) {
      const found = reml(columns, [["judge"]], fixed);
      if ("reason" in found) throw new Error(found.reason);
      expect(found.criterion).toBeCloseTo(wanted.criterion, 8);
      expect(found.components[0]?.variance).toBeCloseTo(
        wanted.components[0]?.variance as number,
        8,
      );
      expect(found.components[0]?.se).toBeCloseTo(wanted.components[0]?.se as number, 8);
    }
  });

  it("[P25] write rows down as the usual row and what differs, and lose nothing", () => {
    const table = fc.array(
      fc.array(fc.integer({ min: 0, max: 2 }), { minLength: 4, maxLength: 4 }),
      {
        maxLength: 7,
      },
    );
    fc.assert(
      fc.property(table, (rows) => {
        const near = nearRows(Int32Array.from(rows.flat()), rows.length, 4);
        const back = rows.map((_, row) => {
          const counts = [...near.usual];
          for (let i = near.starts[row] as number; i < (near.starts[row + 1] as number); i++) {
            const column = near.columns[i] as number;
            counts[column] = (counts[column] as number) + (near.differences[i] as number);
          }
          return counts;
        });
        expect(back).toEqual(rows);
      }),
    );
    // Worked by hand: most have 3 and 0; only the last row differs, in its second place.
    const { usual, differences } = nearRows(Int32Array.of(3, 0, 3, 0, 3, 2), 3, 2);
    expect([[...usual], [...differences]]).toEqual([[3, 0], [2]]);
  });
});
