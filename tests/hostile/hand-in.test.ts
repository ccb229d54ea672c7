import { expect, it } from "vitest";
import { handIn } from "./hand-in.ts";

it("refuses what is hostile in words, accepts nothing that is not sound, and stays small", async () => {
  const { failures, ways, peakMegabytes } = await handIn({ inputs: 15_000, seed: 1 });
  expect(failures).toEqual([]);
  for (const [name, { refused, accepted }] of Object.entries(ways)) {
    // Where all were refused, nothing was asked of what is accepted.
    expect([name, refused > 50, accepted > 5]).toEqual([name, true, true]);
  }
  expect(peakMegabytes).toBeLessThan(1500);
});
