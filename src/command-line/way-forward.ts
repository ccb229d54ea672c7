import { join, relative } from "node:path";
import { Backups } from "../hub/copies/backups.ts";
import { fits } from "../hub/seals/own-key.ts";
import type { StorePlace } from "../hub/store/open-store.ts";
import { withoutPassword } from "../hub/store/postgres-address.ts";
import { readChainsIn } from "../hub/store/read-chains.ts";
import { sqliteRows } from "../hub/store/sqlite-rows.ts";
import hubWords from "../words/en/hub.json" with { type: "json" };
import { sayIn } from "../words/say.ts";

const say = sayIn(hubWords);

/**
 * What to do where a hub's store is damaged or gone: the newest copy that is sound, and the command that puts it in its place.
 * @returns undefined where there is none and the store was a database, which its owner may have copied otherwise.
 */
export async function wayForward(
  { dataFolder, address }: StorePlace,
  copies: string,
  from = process.cwd(),
): Promise<string | undefined> {
  const { kept } = new Backups({ folder: copies, everyMinutes: 0, copy: nothing }).state;
  const short = (one: string) => relative(from, one) || ".";
  for (const { file, atMs } of kept) {
    const path = join(copies, file);
    const entries = await soundEntries(path);
    if (entries === undefined) continue;
    const time = new Date(atMs).toISOString().slice(0, 16);
    if (address === undefined) {
      const command = `evenhand restore ${short(path)} --data ${short(dataFolder)} --set-aside`;
      return say("damaged-copy", { time, entries, command });
    }
    const other = new URL(withoutPassword(address).store);
    other.pathname = "/NEW";
    const command = `evenhand restore ${short(path)} --data ${short(dataFolder)} --store ${other}`;
    return say("damaged-copy-there", { time, entries, command });
  }
  return address === undefined ? say("damaged-no-copy", { folder: copies }) : undefined;
}

/** How many entries a copy has; undefined where it is not sound either. */
async function soundEntries(path: string): Promise<number | undefined> {
  try {
    const chains = await readChainsIn(path);
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

const nothing = async (): Promise<void> => undefined;
