import type { GradingId } from "../../core/identity.ts";
import { openDatabase, withStoreFaults } from "./open-database.ts";
import { type ChainRow, type VerifiedChain, verifyChain } from "./verify-chain.ts";

/**
 * Every grading's chain in a hub's database, checked row by row; also beside a running hub.
 * @param noted  a head noted earlier, looked for in each chain
 * @throws FaultError STORE_DAMAGED, STORE_LOST, with the file's path
 */
export function readChains(
  path: string,
  noted?: string,
): (VerifiedChain & { grading: GradingId })[] {
  const database = openDatabase(path);
  try {
    return withStoreFaults(path, () => {
      const gradings = database
        .prepare("SELECT DISTINCT grading FROM entries ORDER BY grading")
        .all() as { grading: GradingId }[];
      const rows = database.prepare(
        "SELECT seq, id, device, n, body, salt, digest, chain FROM entries WHERE grading = ? ORDER BY seq",
      );
      return gradings.map(({ grading }) => ({
        grading,
        ...verifyChain(rows.iterate(grading) as Iterable<ChainRow>, noted),
      }));
    });
  } finally {
    database.close();
  }
}
