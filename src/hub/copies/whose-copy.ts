import { hashOf } from "../seals/secrets.ts";
import { sqliteRows } from "../store/sqlite-rows.ts";
import { isDamage } from "./damaged-copy.ts";

/** The mark that a hub gives its copies, by its fingerprint. */
export const markOf = (fingerprint: string): string => fingerprint.slice(0, 8);

/** The mark of the hub that a copy is of; undefined where it does not say so, cut short or no copy at all. @throws FaultError where the disk does not give it */
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
  } catch (error) {
    if (!isDamage(error)) throw error;
  }
  return undefined;
}
