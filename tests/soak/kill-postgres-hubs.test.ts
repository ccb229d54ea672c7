import { expect, it } from "vitest";
import { aPostgresDatabase } from "../builders/a-postgres-database.ts";
import { killPostgresHubs } from "./kill-postgres-hubs.ts";

it("[H26] loses and doubles nothing that was acknowledged, whichever of two hubs is killed", async () => {
  const store = await aPostgresDatabase();
  const killed = await killPostgresHubs({ store, kills: 2, seed: 1 });
  expect(killed).toMatchObject({ lost: 0, doubled: 0, refused: 0, isChainSound: true });
  expect(killed.stored).toBe(killed.written);
  expect(killed.acknowledged).toBe(killed.written);
});
