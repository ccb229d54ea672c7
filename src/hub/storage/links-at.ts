import type { GradingId } from "../../core/identity.ts";
import { openDatabase, withStoreFaults } from "./open-database.ts";

/** The link of a grading's chain after each of these entries, as the store has it; undefined where there is none. */
export function linksAt(
  path: string,
  places: readonly { grading: GradingId; seq: number }[],
): (string | undefined)[] {
  const database = openDatabase(path);
  try {
    return withStoreFaults(path, () => {
      const at = database.prepare("SELECT chain FROM entries WHERE grading = ? AND seq = ?");
      return places.map(
        ({ grading, seq }) => (at.get(grading, seq) as { chain: string } | undefined)?.chain,
      );
    });
  } finally {
    database.close();
  }
}
