import { randomBytes } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";

/** What says in a folder whose copies lie there, and in a data folder whose it is. */
const WHOSE = "copies-of";

/**
 * Where a hub's copies go. A folder that was asked for belongs to whoever came first: another hub's copies go into one of its own inside it, since each
 * thins its copies, erases names in them and gives the newest to its chief.
 *
 * @param asked  undefined: in the data folder
 * @returns `isAnothers`: whether copies of another hub lie in the folder that was asked for. Where nothing can be written there, as before a stick is in,
 *   it is taken as it is; the first copy will say so.
 */
export function ownFolder(
  dataFolder: string,
  asked: string | undefined,
): { folder: string; isAnothers: boolean } {
  if (asked === undefined) return { folder: join(dataFolder, "backups"), isAnothers: false };
  try {
    const own = saidIn(dataFolder, randomBytes(4).toString("hex"));
    const isAnothers = saidIn(asked, own) !== own;
    return { folder: isAnothers ? join(asked, own) : asked, isAnothers };
  } catch {
    return { folder: asked, isAnothers: false };
  }
}

/** What a folder says, which says `own` from now on where it said nothing that can be read. */
function saidIn(folder: string, own: string): string {
  const file = join(folder, WHOSE);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const said = existsSync(file) ? readFileSync(file, "utf8").trim() : "";
  if (/^[0-9a-f]{8}$/.test(said)) return said;
  // Whole or not at all: a power cut in the middle would make a stranger of this hub.
  writeFileSync(`${file}.new`, own, { mode: 0o600, flush: true });
  renameSync(`${file}.new`, file);
  return own;
}
