import { join, relative } from "node:path";
import { Backups } from "../hub/copies/backups.ts";
import { diskBeside } from "../hub/copies/disk-beside.ts";
import type { StorePlace } from "../hub/store/open-store.ts";
import { withoutPassword } from "../hub/store/postgres-address.ts";
import hubWords from "../words/en/hub.json" with { type: "json" };
import { sayIn } from "../words/say.ts";

const say = sayIn(hubWords);

/**
 * What to do where a hub's store is damaged or gone: the newest copy that is sound, and the command that puts it in its place.
 * @returns undefined where their disk does not answer, and where there is none and the store was a database, which its owner may have copied otherwise.
 */
export async function wayForward(
  { dataFolder, address }: StorePlace,
  copies: string,
  from = process.cwd(),
): Promise<string | undefined> {
  // A hub may be at work, with a test that is damaged.
  const { disk, close: closeDisk } = diskBeside();
  const backups = new Backups({ folder: copies, everyMinutes: 0, copy: nothing, disk, closeDisk });
  try {
    return await forwardFrom(backups, { dataFolder, address }, from);
  } catch {
    return undefined;
  } finally {
    await backups.close();
  }
}

async function forwardFrom(
  backups: Backups,
  { dataFolder, address }: StorePlace,
  from: string,
): Promise<string | undefined> {
  const { kept, failed, folder: copies } = await backups.state();
  if (failed) return undefined;
  const short = (one: string) => relative(from, one) || ".";
  for (const { file, atMs } of kept) {
    const path = join(copies, file);
    const entries = await backups.answered(backups.disk.soundEntries(path));
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

const nothing = async (): Promise<void> => undefined;
