import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openPostgres, type PostgresDatabase } from "../../../src/hub/store/postgres-database.ts";
import { doorTables } from "../../../src/hub/store/postgres-door-tables.ts";
import { postgresRows } from "../../../src/hub/store/postgres-rows.ts";
import { postgresScorebook, scorebookTables } from "../../../src/hub/store/postgres-scorebook.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aPostgresDatabase, runSql } from "../../builders/a-postgres-database.ts";
import { aMark } from "../../builders/a-test-day.ts";

let url = "";
let database: PostgresDatabase;
beforeEach(async () => {
  url = await aPostgresDatabase();
  database = await openPostgres(url, [...scorebookTables(testBooks), ...doorTables]);
});
afterEach(() => database.close());

/** As when the server is restarted: nobody asks anything at this moment. */
async function cutIdleLines(): Promise<void> {
  await runSql(
    url,
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE state = 'idle in transaction' AND datname = current_database()",
  );
  await new Promise((done) => setTimeout(done, 50));
}

describe("a database that goes away", () => {
  it("[L11] between two pages of a copy is told to whoever copies, and ends no process", async () => {
    const pen = aPen("judge-1");
    const marks = Array.from({ length: 1200 }, () => aMark(pen));
    await postgresScorebook(database, testBooks).append(aGradingId, marks);
    const rows = await postgresRows(database);
    const reading = async () => {
      for await (const some of rows.of("entries")) {
        expect(some.length).toBeGreaterThan(0);
        await cutIdleLines();
      }
    };
    await expect(reading()).rejects.toThrow(/STORE_UNREACHABLE/);
    await rows.close();
    expect((await postgresScorebook(database, testBooks).gradings())[0]?.entries).toBe(1200);
  });

  it("[L11] in the middle of a transaction is told to whoever writes, and ends no process", async () => {
    const writing = database.inTransaction(async (client) => {
      await client.query("INSERT INTO settings VALUES ('a', 'b')");
      await cutIdleLines();
      await client.query("INSERT INTO settings VALUES ('c', 'd')");
    });
    await expect(writing).rejects.toThrow(/STORE_UNREACHABLE/);
    expect(await runSql(url, "SELECT * FROM settings")).toEqual([]);
  });
});
