import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { agreementFigures } from "../../src/command-line/agreement-figures.ts";
import { inPlace, type PanelRow, panelOf } from "../../src/command-line/read-panel.ts";
import { chance } from "../../src/demo/chance.ts";

/** Nine candidates, four judges, three criteria; levels with thirds, whose sums hang on their order. */
const rows: PanelRow[] = (() => {
  const { share } = chance(5);
  return Array.from({ length: 9 * 4 * 3 }, (_, at) => {
    const candidate = `c${Math.floor(at / 12)}`;
    const criterion = `k${at % 3}`;
    const judge = `j${Math.floor(at / 3) % 4}`;
    const mark = 1 + Math.floor(share() * 9) / 3;
    return {
      performance: `${candidate}/${criterion}`,
      candidate,
      judge,
      item: "",
      criterion,
      mark,
    };
  });
})();
const figures = (of: readonly PanelRow[]) =>
  JSON.stringify(
    agreementFigures(panelOf(inPlace(of), ["candidate", "criterion"]), {
      random: [],
      fixed: [],
      seed: 1,
    }),
  );

describe("the figures of a panel", () => {
  it("[V90] are the same to the last digit in whatever order the marks come", () => {
    const said = figures(rows);
    expect(said).toContain("components");
    fc.assert(
      fc.property(fc.shuffledSubarray(rows, { minLength: rows.length }), (shuffled) => {
        expect(figures(shuffled)).toBe(said);
      }),
      { numRuns: 20 },
    );
  });
});
