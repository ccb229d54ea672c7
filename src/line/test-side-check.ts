import { testSides } from "../belt-test/scorebook/test-sides.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { SideRecord } from "../book/side-record.ts";
import { SideCheck, type SideFinding } from "./side-check.ts";

/** Of a test's records those that its entries refer to as they are, and what is wrong with the others. */
export function checkedSides(
  entries: Iterable<AnyEntry>,
  records: readonly SideRecord[],
): { shown: SideRecord[]; findings: SideFinding[] } {
  const check = new SideCheck(testSides);
  for (const entry of entries) check.note(entry);
  for (const record of records) check.take(record);
  return { shown: records.filter(({ id }) => check.isTrue(id)), findings: check.findings() };
}
