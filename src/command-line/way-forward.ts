import { join, relative } from "node:path";
import { Backups } from "../hub/copies/backups.ts";
import { diskBeside } from "../hub/copies/disk-beside.ts";
import type { StoreHome } from "../hub/store/store-home.ts";
import hubWords from "../words/en/hub.json" with { type: "json" };
import { sayIn } from "../words/say.ts";

const say = sayIn(hubWords);

/**
 * What to do where a hub's store is damaged or gone: the newest copy that is sound, and the command that puts it in its place.
 * @returns undefined where their disk does not answer, and where there is none and the store was a database, which its owner may have copied otherwise.
 */
export async function wayForward(
  home: StoreHome,
  copies: string,
  from = process.cwd(),
): Promise<string | undefined> {
  // A hub may be at work, with a test that is damaged.
  const { disk, close: closeDisk } = diskBeside();
  const backups = new Backups({ folder: copies, everyMinutes: 0, copy: nothing, disk, closeDisk });
  try {
    return await forwardFrom(backups, home, from);
  } catch {
    return undefined;
  } finally {
    await backups.close();
  }
}

async function forwardFrom(
  backups: Backups,
  home: StoreHome,
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
    const command = ["evenhand restore", short(path), ...home.optionsToPutBack(short)].join(" ");
    return say(home.isShared ? "damaged-copy-there" : "damaged-copy", { time, entries, command });
  }
  return home.isShared ? undefined : say("damaged-no-copy", { folder: copies });
}

const nothing = async (): Promise<void> => undefined;
