import { hashOf } from "../seals/secrets.ts";
import { sqliteRows } from "../store/sqlite-rows.ts";

/** The mark that a hub gives its copies, by its fingerprint. */
export const markOf = (fingerprint: string): string => fingerprint.slice(0, 8);

/** The mark of the hub that a copy is of; undefined where that cannot be read. */
export async function whoseCopy(copy: string): Promise<string | undefined> {
  try {
    const rows = sqliteRows(copy);
    try {
      for await (const some of rows.of("settings"))
        for (const { name, value } of some)
          if (name === "public-key") return markOf(hashOf(String(value)));
    } finally {
      await rows.close();
    }
  } catch {
    // Cut short, or no copy at all.
  }
  return undefined;
}
