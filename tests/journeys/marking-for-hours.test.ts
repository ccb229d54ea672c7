import { expect, it } from "vitest";
import { markForHours } from "../soak/mark-for-hours.ts";

it("goes from board to board with a judge, and has every tap on the hub in the end", async () => {
  const { taps, lost, doubled } = await markForHours({ taps: 120 });
  expect({ taps, lost, doubled }).toEqual({ taps: 120, lost: 0, doubled: 0 });
});
