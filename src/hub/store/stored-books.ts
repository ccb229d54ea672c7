import type { DeviceRow } from "../../ports/door-tables.ts";

/** What a store is told of the books that it keeps, and of who comes in to them. */
export interface StoredBooks {
  /** Of which kinds of line a list of books is made: kept by the database, also for a store from before. */
  readonly titleKinds: readonly string[];
  /** Roles as they were written; of what cannot be read nobody has any. */
  rolesIn(json: unknown): DeviceRow["roles"];
}
