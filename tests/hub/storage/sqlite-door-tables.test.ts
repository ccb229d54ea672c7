import Database from "libsql";
import { describe } from "vitest";
import { sqliteDoorTables } from "../../../src/hub/storage/sqlite-door-tables.ts";
import { itKeepsTheDoorContract } from "../../contracts/door-tables.contract.ts";

describe("the door's tables in SQLite", () => {
  itKeepsTheDoorContract(() => sqliteDoorTables(new Database(":memory:"), ":memory:"));
});
