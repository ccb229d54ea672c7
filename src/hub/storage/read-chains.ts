import type { GradingId } from "../../core/identity.ts";
import type { AnyEntry } from "../../core/scorebook/entry.ts";
import { refsIn } from "../../sync/refs-in.ts";
import { openDatabase, withStoreFaults } from "./open-database.ts";
import { type ChainRow, type VerifiedChain, verifyChain } from "./verify-chain.ts";

/** A grading's chain, and what its entries refer to: names and texts, and how many of them are not there any more. */
export interface ReadChain extends VerifiedChain {
  grading: GradingId;
  named: number;
  gone: number;
}

/**
 * Every grading's chain in a hub's database, checked row by row; also beside a running hub.
 * @param noted  a head noted earlier, looked for in each chain
 * @throws FaultError STORE_DAMAGED, STORE_LOST, with the file's path
 */
export function readChains(path: string, noted?: string): ReadChain[] {
  const database = openDatabase(path);
  try {
    return withStoreFaults(path, () => {
      const gradings = database
        .prepare("SELECT DISTINCT grading FROM entries ORDER BY grading")
        .all() as { grading: GradingId }[];
      const rows = database.prepare(
        "SELECT seq, id, device, n, body, salt, digest, chain FROM entries WHERE grading = ? ORDER BY seq",
      );
      const sides = database.prepare("SELECT id FROM sides WHERE grading = ?");
      return gradings.map(({ grading }) => {
        const held = new Set((sides.all(grading) as { id: string }[]).map(({ id }) => id));
        const named = new Set<string>();
        const chain = verifyChain(
          noting(rows.iterate(grading) as Iterable<ChainRow>, named),
          noted,
        );
        const gone = [...named].filter((id) => !held.has(id)).length;
        return { grading, ...chain, named: named.size, gone };
      });
    });
  } finally {
    database.close();
  }
}

/** The same rows; the names and texts they refer to are noted on the way. */
function* noting(rows: Iterable<ChainRow>, named: Set<string>): Iterable<ChainRow> {
  for (const row of rows) {
    // A body that is not JSON any more breaks the chain, which says so.
    if (row.body.includes('"digest"'))
      for (const { id } of refsIn(JSON.parse(row.body) as AnyEntry)) named.add(id);
    yield row;
  }
}
