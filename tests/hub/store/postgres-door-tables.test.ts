import { afterEach, describe } from "vitest";
import { openPostgres, type PostgresDatabase } from "../../../src/hub/store/postgres-database.ts";
import { doorTables, postgresDoorTables } from "../../../src/hub/store/postgres-door-tables.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { aPostgresDatabase } from "../../builders/a-postgres-database.ts";
import { itKeepsTheDoorContract } from "../../contracts/door-tables.contract.ts";

let database: PostgresDatabase | undefined;
afterEach(() => database?.close());

describe("the door's tables in PostgreSQL", () => {
  itKeepsTheDoorContract(async () => {
    database = await openPostgres(await aPostgresDatabase(), doorTables);
    return postgresDoorTables(database, testBooks);
  });
});
