import Database from "libsql";
import { describe } from "vitest";
import { sqliteDoorTables } from "../../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { itKeepsTheDoorContract } from "../../contracts/door-tables.contract.ts";

describe("the door's tables in SQLite", () => {
  itKeepsTheDoorContract(() => sqliteDoorTables(new Database(":memory:"), ":memory:", testBooks));
});
