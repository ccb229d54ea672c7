import type { DeviceRow } from "../../ports/door-tables.ts";

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
