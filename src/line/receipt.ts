import type { AnyEntry } from "../book/entry.ts";
import type { EntryId } from "../book/identity.ts";

/** What a hub gave for lines that were on its disk, by line. */
export type Receipts = ReadonlyMap<EntryId, string>;

/** A line as it is handed in again, with what the hub gave for it. */
export const withReceipt = (entry: AnyEntry, receipts: Receipts): object => {
  const receipt = receipts.get(entry.id);
  return receipt ? { ...entry, receipt } : entry;
};

/** The line by itself, and what it bears beside it. */
export function partedFromReceipt(json: unknown): { line: unknown; receipt?: unknown } {
  if (typeof json !== "object" || json === null || !("receipt" in json)) return { line: json };
  const { receipt, ...line } = json;
  return { line, receipt };
}
