import type { AnyEntry } from "../../book/entry.ts";
import type { GradingId } from "../../book/identity.ts";
import type { SideRules } from "../../book/side-rules.ts";
import { isUnsound, SideCheck, type SideFinding } from "../../line/side-check.ts";
import type { StoreRows } from "../../ports/store-rows.ts";
import { readSide } from "./read-side.ts";
import { sqliteRows } from "./sqlite-rows.ts";
import { ChainCheck, type ChainRow, type VerifiedChain } from "./verify-chain.ts";

/** A grading's chain, and what its entries refer to: names and texts, how many of them are not there any more, and which are not right. */
export interface ReadChain extends VerifiedChain {
  grading: GradingId;
  named: number;
  gone: number;
  sides: SideFinding[];
}

/** Whether nothing of a test was changed, exchanged, put in or taken out, neither in its entries nor in its names and texts. */
export const isWhole = ({ broken, sides }: ReadChain): boolean =>
  broken === null && !sides.some(isUnsound);

interface Asked {
  /** A head noted earlier, looked for in each chain. */
  noted?: string | undefined;
  /** Only this one. */
  grading?: GradingId | undefined;
  /** Who is erased besides what the books say. */
  erased?: ((grading: GradingId) => Iterable<string>) | undefined;
}

/** Every grading's chain in a store, or that of one, checked row by row, with the names and texts beside it. @param rules  what its entries say of those */
export async function readChains(
  rows: StoreRows,
  rules: SideRules,
  { noted, grading: only, erased = () => [] }: Asked = {},
): Promise<ReadChain[]> {
  const sides = new Map<GradingId, SideCheck>();
  for await (const some of rows.of("sides", only))
    for (const { grading, id, record } of some) {
      const check = sides.get(grading as GradingId) ?? new SideCheck(rules);
      sides.set(grading as GradingId, check);
      check.take(readSide(grading as GradingId, String(id), String(record)));
    }
  const found: ReadChain[] = [];
  let now: { grading: GradingId; chain: ChainCheck; sides: SideCheck } | undefined;
  const finish = () => {
    if (!now) return;
    const { grading, chain, sides: check } = now;
    const { named, gone } = check;
    found.push({ grading, ...chain.result, named, gone, sides: check.findings(erased(grading)) });
    // So that one book's plan is in memory at a time.
    sides.delete(grading);
  };
  for await (const some of rows.of("entries", only))
    for (const row of some as unknown as (ChainRow & { grading: GradingId })[]) {
      if (now?.grading !== row.grading) {
        finish();
        const check = sides.get(row.grading) ?? new SideCheck(rules);
        now = { grading: row.grading, chain: new ChainCheck(noted), sides: check };
      }
      now.chain.take(row);
      const entry = entryOf(row);
      if (entry) now.sides.note(entry);
    }
  finish();
  // Names and texts of a test that has no entry at all.
  for (const [grading, check] of sides)
    found.push({
      grading,
      ...new ChainCheck(noted).result,
      named: 0,
      gone: 0,
      sides: check.findings(),
    });
  return found;
}

/**
 * The same of a database file, or of a copy; also beside a running hub.
 * @throws FaultError STORE_DAMAGED, STORE_LOST, with the file's path
 */
export async function readChainsIn(
  path: string,
  rules: SideRules,
  asked: Asked = {},
): Promise<ReadChain[]> {
  const rows = sqliteRows(path);
  try {
    return await readChains(rows, rules, asked);
  } finally {
    await rows.close();
  }
}

function entryOf({ body }: ChainRow): AnyEntry | undefined {
  try {
    const entry = JSON.parse(body) as AnyEntry | null;
    return typeof entry?.body === "object" && entry.body !== null ? entry : undefined;
  } catch {
    // A body that is not JSON any more breaks the chain, which says so.
    return undefined;
  }
}
