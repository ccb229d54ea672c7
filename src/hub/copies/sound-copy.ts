import { testSides } from "../../belt-test/scorebook/test-sides.ts";
import { fits } from "../seals/own-key.ts";
import { readChainsIn } from "../store/read-chains.ts";
import { sqliteRows } from "../store/sqlite-rows.ts";

/** How many entries a copy has; undefined where it is not sound either. */
export async function soundEntries(path: string): Promise<number | undefined> {
  try {
    const chains = await readChainsIn(path, testSides);
    if (chains.some(({ broken }) => broken !== null) || !(await hasOwnKey(path))) return undefined;
    return chains.reduce((sum, { entries }) => sum + entries, 0);
  } catch {
    return undefined;
  }
}

/** Whether the hub that was copied could sign with what the copy has for its key. */
async function hasOwnKey(path: string): Promise<boolean> {
  const rows = sqliteRows(path);
  const keys = new Map<string, string>();
  try {
    for await (const some of rows.of("settings"))
      for (const { name, value } of some) keys.set(String(name), String(value));
  } finally {
    await rows.close();
  }
  return fits(keys.get("private-key"), keys.get("public-key"));
}
