import type { GradingId } from "../../core/identity.ts";
import type { AnyEntry } from "../../core/scorebook/entry.ts";
import type { StoreRows } from "../../ports/store-rows.ts";
import { refsIn } from "../../sync/refs-in.ts";
import { sqliteRows } from "./sqlite-rows.ts";
import { ChainCheck, type ChainRow, type VerifiedChain } from "./verify-chain.ts";

/** A grading's chain, and what its entries refer to: names and texts, and how many of them are not there any more. */
export interface ReadChain extends VerifiedChain {
  grading: GradingId;
  named: number;
  gone: number;
}

/**
 * Every grading's chain in a store, or that of one, checked row by row.
 * @param asked  `noted`: a head noted earlier, looked for in each chain
 */
export async function readChains(
  rows: StoreRows,
  { noted, grading: only }: { noted?: string | undefined; grading?: GradingId | undefined } = {},
): Promise<ReadChain[]> {
  const held = new Set<string>();
  for await (const some of rows.of("sides", only))
    for (const { grading, id } of some) held.add(`${grading}/${id}`);
  const found = new Map<GradingId, { check: ChainCheck; named: Set<string> }>();
  for await (const some of rows.of("entries", only))
    for (const row of some as unknown as (ChainRow & { grading: GradingId })[]) {
      let one = found.get(row.grading);
      if (!one) found.set(row.grading, (one = { check: new ChainCheck(noted), named: new Set() }));
      for (const id of named(row)) one.named.add(id);
      one.check.take(row);
    }
  return [...found].map(([grading, { check, named }]) => ({
    grading,
    ...check.result,
    named: named.size,
    gone: [...named].filter((id) => !held.has(`${grading}/${id}`)).length,
  }));
}

/**
 * The same of a database file, or of a copy; also beside a running hub.
 * @throws FaultError STORE_DAMAGED, STORE_LOST, with the file's path
 */
export async function readChainsIn(path: string): Promise<ReadChain[]> {
  const rows = sqliteRows(path);
  try {
    return await readChains(rows);
  } finally {
    await rows.close();
  }
}

/** The names and texts that an entry refers to. */
function named({ body }: ChainRow): string[] {
  if (!body.includes('"digest"')) return [];
  try {
    return refsIn(JSON.parse(body) as AnyEntry).map(({ id }) => id);
  } catch {
    // A body that is not JSON any more breaks the chain, which says so.
    return [];
  }
}
