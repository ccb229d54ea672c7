import { existsSync, lstatSync, readlinkSync, realpathSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { FaultError } from "../../book/faults.ts";

/** Where a hub's database lies, as its data folder says it. */
export const storePlaceIn = (dataFolder: string): string => join(dataFolder, "evenhand.sqlite");

/**
 * Where a hub's database lies: in its data folder, or where a link there leads, as to a bigger disk. Its log stands beside the file itself, so all else that
 * belongs to it does too. Also where nothing lies there: see `mustLeadSomewhere`.
 */
export function storeFile(dataFolder: string): string {
  return ledTo(storePlaceIn(dataFolder));
}

function ledTo(path: string, links = 0): string {
  if (!isLink(path) || links > 40) return path;
  try {
    return realpathSync(path);
  } catch {
    return ledTo(resolve(dirname(path), readlinkSync(path)), links + 1);
  }
}
function isLink(path: string): boolean {
  try {
    return lstatSync(path).isSymbolicLink();
  } catch {
    return false;
  }
}

/** A link that leads nowhere is one to a disk that is away: a store begun there would hold nothing. @throws FaultError STORE_LOST */
export function mustLeadSomewhere(dataFolder: string): void {
  const file = storeFile(dataFolder);
  if (isLink(storePlaceIn(dataFolder)) && !existsSync(file))
    throw new FaultError({ code: "STORE_LOST", with: { file, detail: "ENOENT" } });
}
