import fc from "fast-check";
import { expect, it } from "vitest";
import { isInRuns, runsOf } from "../../src/line/runs.ts";

it("[Y15] says of every number whether it is there, and of no other", () => {
  const numbers = fc.array(fc.integer({ min: 1, max: 40 }), { maxLength: 30 });
  fc.assert(
    fc.property(numbers, (there) => {
      const runs = runsOf(there);
      for (let n = 0; n <= 41; n++) expect(isInRuns(runs, n)).toBe(there.includes(n));
      // Runs that touch are one.
      for (const [index, [first]] of runs.entries())
        if (index > 0) expect(first).toBeGreaterThan((runs[index - 1]?.[1] ?? 0) + 1);
    }),
  );
});
