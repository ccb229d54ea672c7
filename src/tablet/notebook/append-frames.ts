import type { AnyEntry } from "../../book/entry.ts";
import type { EntryId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import { bytesIn, inBatches } from "../../line/catch-up.ts";
import type { FromTablet } from "../../line/protocol.ts";
import { type Receipts, withReceipt } from "../../line/receipt.ts";
import { refsIn } from "../../line/refs-in.ts";

/** Entries as they are handed in, with the names and texts they refer to: in as many frames as it takes. Of what is given up only its place is said. */
export function appendFrames(
  entries: readonly AnyEntry[],
  sides: readonly SideRecord[],
  receipts: Receipts,
  outbox: { isGivenUp(id: EntryId): boolean },
): FromTablet[] {
  const beside = (batch: readonly AnyEntry[]) => {
    const named = new Set(batch.flatMap(refsIn).map(({ id }) => id));
    return sides.filter(({ id }) => named.has(id));
  };
  const batches = inBatches(
    entries,
    (entry) => bytesIn(JSON.stringify([withReceipt(entry, receipts), ...beside([entry])])),
    { countOf: (entry) => Math.max(1, beside([entry]).length) },
  );
  return batches.map((batch) => ({
    frame: "append",
    entries: batch.map((entry) =>
      outbox.isGivenUp(entry.id) ? { ...entry, kind: undefined } : withReceipt(entry, receipts),
    ),
    sides: beside(batch),
  }));
}
