import { expect, it } from "vitest";
import { carry } from "./load.ts";

it("carries a hundred tablets at ten times a hall's pace, one that reads nothing and one that is dead among them", async () => {
  const { written, acknowledged, stored, lost, doubled } = await carry({ seconds: 4, times: 10 });
  expect(written).toBeGreaterThan(1500);
  expect({ acknowledged, stored, lost, doubled }).toEqual({
    acknowledged: written,
    stored: written,
    lost: 0,
    doubled: 0,
  });
});
