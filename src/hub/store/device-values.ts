import type { DeviceRow } from "../../ports/door-tables.ts";
import type { StoredBooks } from "./stored-books.ts";

/** A device's row in the order of the table's columns, the same in both databases. */
export const deviceValues = (row: DeviceRow) => [
  row.grading,
  row.device,
  row.name,
  row.wants,
  row.state,
  row.person,
  JSON.stringify(row.roles),
  row.tokenHash,
  row.address,
  row.sinceMs,
];

/** Roles as they were written; of a row that cannot be read nobody has any. */
export function rolesIn(text: string, books: StoredBooks): DeviceRow["roles"] {
  try {
    return books.rolesIn(JSON.parse(text));
  } catch {
    return [];
  }
}
