import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { sameNames } from "../../../src/belt-test/planning/same-name.ts";
import { normalFrom } from "../../../src/lab/normal.ts";
import { anchorSeverities } from "../../../src/ratings/anchors/anchor-severities.ts";
import { keptSeverity, severityToKeep } from "../../../src/ratings/anchors/kept-severity.ts";
import { chanceFrom } from "../../../src/ratings/statistics/chance.ts";

const cells = (anchors: number, judge: number, lower: number) =>
  Array.from({ length: anchors }, (_, anchor) =>
    [2, 3, 4, 3].map((agreed, cell) => ({
      anchor,
      judge,
      level: agreed - lower,
      agreed,
      weight: cell + 1,
    })),
  ).flat();

describe("an anchor performance", () => {
  it("[P62] says how far below the agreed marks a judge is, in any order of marks", () => {
    const marks = [...cells(2, 0, 0.5), ...cells(2, 1, -0.25)];
    const found = anchorSeverities(marks, 3);
    expect(found.map((one) => one?.severity)).toEqual([0.5, -0.25, undefined]);
    expect(anchorSeverities([...marks].reverse(), 3)).toEqual(found);
  });

  it("[P62] measures better with more of them: about .2 with one, .1 with four", () => {
    // The residual that the fairness simulation supposes: halo .2, judge × criterion, error of the mean.
    const measured = (anchors: number) => {
      const normal = normalFrom(chanceFrom(11));
      let [squares, count, said] = [0, 0, 0];
      for (let day = 0; day < 200; day++) {
        const truth = [0, 1, 2, 3, 4].map(() => 0.3 * normal());
        const marks = truth.flatMap((severity, judge) =>
          Array.from({ length: anchors }, (_, anchor) => {
            const halo = 0.2 * normal() + 0.06 * normal();
            return { anchor, judge, level: 2.5 - severity + halo, agreed: 2.5, weight: 1 };
          }),
        );
        anchorSeverities(marks, 5).forEach((one, judge) => {
          squares += ((one?.severity ?? 0) - (truth[judge] as number)) ** 2;
          said += one?.sd ?? 0;
          count++;
        });
      }
      return { off: Math.sqrt(squares / count), said: said / count };
    };
    const [one, four] = [measured(1), measured(4)];
    expect(one.off).toBeGreaterThan(0.18);
    expect(one.off).toBeLessThan(0.24);
    expect(four.off).toBeLessThan(0.12);
    for (const { off, said } of [one, four]) {
      expect(said / off).toBeGreaterThan(0.85);
      expect(said / off).toBeLessThan(1.25);
    }
  });

  it("[P59] refuses what is no mark, and judges that are not there", () => {
    const mark = { anchor: 0, judge: 0, level: 3, agreed: 3, weight: 1 };
    for (const wrong of [{ level: Number.NaN }, { agreed: Infinity }, { weight: 0 }, { judge: 2 }])
      expect(() => anchorSeverities([{ ...mark, ...wrong }], 2)).toThrow(RangeError);
  });
});

describe("a severity kept from earlier tests", () => {
  const earlier = fc.record({
    severity: fc.double({ min: -1, max: 1, noNaN: true }),
    sd: fc.double({ min: 0.05, max: 1, noNaN: true }),
    yearsAgo: fc.double({ min: 0, max: 5, noNaN: true }),
  });
  it("[P63] lies between what was measured, is surer with every test and less sure each year", () => {
    fc.assert(
      fc.property(fc.array(earlier, { minLength: 1, maxLength: 6 }), (tests) => {
        const kept = keptSeverity(tests);
        const all = tests.map(({ severity }) => severity);
        expect(kept?.severity).toBeGreaterThanOrEqual(Math.min(...all) - 1e-9);
        expect(kept?.severity).toBeLessThanOrEqual(Math.max(...all) + 1e-9);
        const older = keptSeverity(tests.map((test) => ({ ...test, yearsAgo: test.yearsAgo + 1 })));
        expect(older?.sd).toBeGreaterThan(kept?.sd as number);
        const fewer = keptSeverity(tests.slice(1));
        if (fewer) expect(fewer.sd).toBeGreaterThan(kept?.sd as number);
      }),
    );
  });

  it("[P63] knows as little of the standard as its own test did", () => {
    const judges = [0, 1, 2, 3].map(() => ({ severity: 0.1, se: 0.1 }));
    const without = severityToKeep({ judges, severitySd: 0.4, hasStandard: false }, 1);
    expect(without.sd).toBeCloseTo(Math.hypot(0.1, 0.2), 12);
    expect(severityToKeep({ judges, severitySd: 0.4, hasStandard: true }, 1).sd).toBe(0.1);
    expect(() => severityToKeep({ judges, severitySd: 0.4, hasStandard: true }, 4)).toThrow(
      RangeError,
    );
  });

  it("[P59] refuses what is no measurement", () => {
    const one = { severity: 0, sd: 0.1, yearsAgo: 0 };
    for (const wrong of [{ severity: Number.NaN }, { sd: 0 }, { yearsAgo: -1 }])
      expect(() => keptSeverity([{ ...one, ...wrong }])).toThrow(RangeError);
  });
});

describe("a judge of an earlier test", () => {
  it("[P65] is found by name, however case, spaces and accents were written", () => {
    const here = ["Inês Núñez", "O'Hara  Mae", "Ａｙａ Ito"];
    expect(sameNames(["ines nunez", " o'hara mae", "AYA ITO"], here)).toEqual([0, 1, 2]);
    // The same letters, composed and decomposed.
    expect(sameNames(["Jose\u0301"], ["Jos\u00e9"])).toEqual([0]);
  });
  it("[P65] is nobody where two could be meant, on either side, or none", () => {
    expect(sameNames(["Jose"], ["José", "jose"])).toEqual([null]);
    expect(sameNames(["José", "Jose", "Mara"], ["Jose", "Mara"])).toEqual([null, null, 1]);
    expect(sameNames(["Ana", " "], ["Anna", ""])).toEqual([null, null]);
    // Marks of another script make another letter: ka and ga.
    expect(sameNames(["\u304b"], ["\u304c"])).toEqual([null]);
  });
});
