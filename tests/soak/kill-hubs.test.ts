import { expect, it } from "vitest";
import { killHubs } from "./kill-hubs.ts";

it("[Y9] loses and doubles nothing that was acknowledged, however often the hub is killed", async () => {
  const killed = await killHubs({ kills: 5, seed: 1 });
  expect(killed).toMatchObject({ lost: 0, doubled: 0, refused: 0, isChainSound: true });
  expect(killed.stored).toBe(killed.written);
  expect(killed.acknowledged).toBe(killed.written);
});
