import { join, relative } from "node:path";
import { Backups } from "../hub/backups.ts";
import { readChainsIn } from "../hub/storage/read-chains.ts";
import { hubWords } from "../words/hub-words.ts";
import { sayIn } from "../words/say.ts";

const say = sayIn(hubWords);

/** What to do where a hub's database is damaged: the newest copy that is sound, and the command that puts it in its place. */
export async function wayForward(
  dataFolder: string,
  copies: string,
  from = process.cwd(),
): Promise<string> {
  const { kept } = new Backups({ folder: copies, everyMinutes: 0, copy: nothing }).state;
  for (const { file, atMs } of kept) {
    const path = join(copies, file);
    const entries = await soundEntries(path);
    if (entries === undefined) continue;
    const short = (one: string) => relative(from, one) || ".";
    const command = `evenhand restore ${short(path)} --data ${short(dataFolder)} --set-aside`;
    return say("damaged-copy", {
      time: new Date(atMs).toISOString().slice(0, 16),
      entries,
      command,
    });
  }
  return say("damaged-no-copy", { folder: copies });
}

/** How many entries a copy has; undefined where it is not sound either. */
async function soundEntries(path: string): Promise<number | undefined> {
  try {
    const chains = await readChainsIn(path);
    if (chains.some(({ broken }) => broken !== null)) return undefined;
    return chains.reduce((sum, { entries }) => sum + entries, 0);
  } catch {
    return undefined;
  }
}

const nothing = async (): Promise<void> => undefined;
