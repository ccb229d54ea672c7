import { describe, expect, it } from "vitest";
import { cholesky, choleskySolve } from "../../../src/ratings/statistics/cholesky.ts";

describe("equations of which one hangs on the others", () => {
  // Worked by hand: the third row is the sum of the first two, so x = (2, 1, 0) answers all three.
  const rows = () => Float64Array.of(2, 0, 2, 0, 4, 4, 2, 4, 6);
  it("[P12] are solved with the row that hangs on the others left at 0", () => {
    const [a, b] = [rows(), Float64Array.of(4, 4, 8)];
    const { dropped } = cholesky(a, 3);
    expect(dropped).toEqual([2]);
    choleskySolve(a, 3, b, dropped);
    expect([...b]).toEqual([expect.closeTo(2, 12), expect.closeTo(1, 12), 0]);
  });
  it("[P12] leave the others the same, whatever stands at the right of that row", () => {
    const [a, b] = [rows(), Float64Array.of(4, 4, 999)];
    const { dropped } = cholesky(a, 3);
    choleskySolve(a, 3, b, dropped);
    expect([...b]).toEqual([expect.closeTo(2, 12), expect.closeTo(1, 12), 0]);
  });
});
