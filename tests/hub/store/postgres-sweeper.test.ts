import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import pg from "pg";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { openStore } from "../../../src/hub/store/open-store.ts";
import type { HubStore } from "../../../src/hub/store/store-home.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aPostgresDatabase, asAHallOf, runSql } from "../../builders/a-postgres-database.ts";
import { aMark } from "../../builders/a-test-day.ts";
import { aFolder } from "../../command-line/run.ts";

const PEOPLE = 20;
/** Whoever came last lies where nothing will come to lie over them. */
const last = PEOPLE - 1;

let url = "";
let hub: HubStore;
const opened: HubStore[] = [];
const open = async (address = url) => {
  const store = await openStore(aFolder(), address, testBooks);
  opened.push(store);
  return store;
};
beforeEach(async () => {
  url = await aPostgresDatabase();
  hub = await open();
  const sides = Array.from({ length: PEOPLE }, (_, index) => aSide(index));
  await hub.store.append(aGradingId, [aMark(aPen("judge-1"))], sides);
  // What the server does by itself now and then.
  await runSql(url, "ANALYZE");
});
afterEach(async () => {
  for (const store of opened.splice(0)) await store.close();
});

const aSide = (index: number): SideRecord => ({
  id: `side-${index}` as SideRecord["id"],
  grading: aGradingId,
  about: `candidate-${index}` as CandidateId,
  kind: "candidate",
  salt: "0".repeat(32),
  body: { given: `Xanthippe${index}z` },
});
/** Whether these bytes are in any file of the database. */
async function isOnDisk(bytes: string): Promise<boolean> {
  await runSql(url, "CHECKPOINT");
  const [row] = await runSql(
    url,
    "SELECT current_setting('data_directory') AS data, oid FROM pg_database WHERE datname = current_database()",
  );
  const folder = join(String(row?.data), "base", String(row?.oid));
  return readdirSync(folder).some((file) => bytesOf(join(folder, file)).includes(bytes));
}
/** A file that the server removed since has none. */
function bytesOf(file: string): Buffer {
  try {
    return readFileSync(file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return Buffer.alloc(0);
    throw error;
  }
}

describe("what is erased from a PostgreSQL database", () => {
  /** As a hub does: while somebody still sees the rows (the server itself, where it looks at what is usual in a table) it is tried again. */
  const isSwept = () =>
    vi.waitFor(async () => expect(await hub.sweep()).toBe("done"), {
      timeout: 10_000,
      interval: 200,
    });

  it("[L22] leaves no byte of the name in its files", async () => {
    expect(await isOnDisk(`Xanthippe${last}z`)).toBe(true);
    await hub.store.erase(aGradingId, `candidate-${last}`);
    await isSwept();
    expect(await isOnDisk(`Xanthippe${last}z`)).toBe(false);
    expect(await isOnDisk("Xanthippe3z")).toBe(true);
    expect(await runSql(url, "SELECT * FROM unswept")).toEqual([]);
  });

  it("[L22] leaves nothing in what the server notes of usual values", async () => {
    expect(
      await runSql(
        url,
        "SELECT tablename, attname FROM pg_stats WHERE (tablename, attname) IN (('sides', 'record'), ('devices', 'name'))",
      ),
    ).toEqual([]);
  });

  it("[L22] leaves no byte of what somebody's device was called", async () => {
    const person = "judge-1" as PersonId;
    const device = (id: string, name: string) => ({
      grading: aGradingId,
      device: id as DeviceId,
      name,
      wants: "judge" as const,
      state: "admitted" as const,
      person,
      roles: ["judge" as const],
      tokenHash: id,
      address: "",
      sinceMs: 1,
    });
    await hub.door.keepDevice(device("first", "Yevgenia"));
    await hub.door.keepDevice(device("second", "Zenobia"));
    expect([await isOnDisk("Yevgenia"), await isOnDisk("Zenobia")]).toEqual([true, true]);
    await hub.door.keepDevice(device("second", ""));
    await isSwept();
    expect([await isOnDisk("Yevgenia"), await isOnDisk("Zenobia")]).toEqual([true, false]);
    await hub.door.forgetNames(aGradingId, person);
    await isSwept();
    expect(await isOnDisk("Yevgenia")).toBe(false);
    await hub.door.forgetNames(aGradingId, person);
    expect(await runSql(url, "SELECT * FROM unswept")).toEqual([]);
  });

  it("[L22] waits for whoever still reads it, and goes when they are done", async () => {
    const reader = await hub.rows();
    await hub.store.erase(aGradingId, `candidate-${last}`);
    expect(await hub.sweep()).toBe("waiting");
    expect(await isOnDisk(`Xanthippe${last}z`)).toBe(true);
    await reader.close();
    await vi.waitFor(async () => {
      expect(await runSql(url, "SELECT * FROM unswept")).toEqual([]);
    }, 15_000);
    expect(await isOnDisk(`Xanthippe${last}z`)).toBe(false);
  });

  it("[L22] waits for whoever holds the table, and keeps nobody from marking meanwhile", async () => {
    const other = new pg.Client({ connectionString: url });
    await other.connect();
    await other.query("BEGIN; LOCK TABLE sides IN ACCESS SHARE MODE");
    await hub.store.erase(aGradingId, `candidate-${last}`);
    const pen = aPen("judge-2");
    const slowest = Math.max(
      ...(await Promise.all(
        Array.from({ length: 12 }, async (_, at) => {
          await new Promise((done) => setTimeout(done, 100 * at));
          const beganMs = performance.now();
          await hub.store.append(aGradingId, [aMark(pen)]);
          return performance.now() - beganMs;
        }),
      )),
    );
    expect(slowest).toBeLessThan(2_000);
    expect(await hub.sweep()).toBe("waiting");
    await other.end();
    await isSwept();
    expect(await isOnDisk(`Xanthippe${last}z`)).toBe(false);
  });

  it("[L86] is swept by the other hub, which runs already, where the one that erased goes away before it swept", async () => {
    const other = await openStore(aFolder(), url, testBooks, { sweepEveryMs: 300 });
    opened.push(other);
    // The transaction of a hub that is killed after it.
    await runSql(
      url,
      `BEGIN; DELETE FROM sides WHERE about = 'candidate-${last}'; INSERT INTO unswept (name) VALUES ('sides'); COMMIT`,
    );
    await vi.waitFor(async () => {
      expect(await runSql(url, "SELECT * FROM unswept")).toEqual([]);
    }, 10_000);
    expect(await isOnDisk(`Xanthippe${last}z`)).toBe(false);
  });

  it("[L22] is swept by whoever may, also where a hub that may not erased it and was stopped", async () => {
    const address = await asAHallOf(url);
    const hall = await open(address);
    await hall.store.erase(aGradingId, `candidate-${last}`);
    expect(await hall.sweep()).toBe("forbidden");
    await hall.close();
    expect(await isOnDisk(`Xanthippe${last}z`)).toBe(true);
    await open();
    await vi.waitFor(async () => {
      expect(await runSql(url, "SELECT * FROM unswept")).toEqual([]);
    }, 10_000);
    expect(await isOnDisk(`Xanthippe${last}z`)).toBe(false);
  });
});
