import type { HubDatabase } from "./open-database.ts";

/**
 * Runs `work` whole or not at all. Begins with the write lock, so that what it reads first still holds when it writes.
 * (The driver's own wrapper rolls back a transaction that a full disk has rolled back already, and so hides the reason.)
 */
export function inTransaction<T>(database: HubDatabase, work: () => T): T {
  database.exec("BEGIN IMMEDIATE");
  try {
    const result = work();
    database.exec("COMMIT");
    return result;
  } catch (error) {
    if (database.inTransaction) database.exec("ROLLBACK");
    throw error;
  }
}
