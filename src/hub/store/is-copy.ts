import Database from "libsql";
import type { GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import { markWhole } from "./apart-mark.ts";
import { beginRound } from "./log-round.ts";
import type { HubDatabase } from "./open-database.ts";

/** A setting of a copy: whoever serves it may lack what was said since it was made. */
export const IS_COPY = "is-copy";
const YES = "yes";

export function sayItIsACopy(database: HubDatabase): void {
  // A scorebook alone has no door, and no hub begins from it.
  const isThere = database
    .prepare("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'settings'")
    .get();
  if (!isThere) return;
  database.prepare("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)").run(IS_COPY, YES);
}

/** A copy, which may have been made while the log was being written back; and no log of the store is its own. */
export function settleCopy(copy: string): void {
  const database = new Database(copy);
  try {
    markWhole(database);
    beginRound(database);
    sayItIsACopy(database);
  } finally {
    database.close();
  }
}

/**
 * A store that began as a copy may lack what was said since, of every test in it: that is so before any tablet comes. It says so no more when all is noted.
 *
 * @param note  of one test
 */
export async function noteCopied(
  tables: Pick<DoorTables, "setting" | "takeSetting">,
  gradings: () => Promise<readonly { grading: GradingId }[]>,
  note: (grading: GradingId) => Promise<unknown>,
): Promise<void> {
  if ((await tables.setting(IS_COPY)) === undefined) return;
  for (const { grading } of await gradings()) await note(grading);
  await tables.takeSetting(IS_COPY, YES);
}
