import {
  closeSync,
  copyFileSync,
  existsSync,
  fchmodSync,
  fsyncSync,
  openSync,
  renameSync,
  rmSync,
} from "node:fs";
import { dirname } from "node:path";
import { openDatabase, withStoreFaults } from "./open-database.ts";

/**
 * Copies a hub's whole database, as it is at this moment, into a new file; the hub may be at work meanwhile.
 * The copy is on the disk when this returns, or not there at all.
 * @throws FaultError STORE_DAMAGED, STORE_LOST or STORE_FULL, with the path
 */
export function backUp(path: string, copy: string): void {
  const part = `${copy}.part`;
  rmSync(part, { force: true });
  const database = openDatabase(path);
  try {
    withStoreFaults(copy, () => database.prepare("VACUUM INTO ?").run(part));
  } finally {
    database.close();
  }
  settle(part, copy);
}

/** Puts a copy in the place of a database that is not there yet. The caller holds the folder. */
export function restore(copy: string, path: string): void {
  const part = `${path}.part`;
  copyFileSync(copy, part);
  // Nothing of an older database may be played back over it.
  for (const rest of [`${path}-wal`, `${path}-shm`]) if (existsSync(rest)) rmSync(rest);
  settle(part, path);
}

function settle(part: string, whole: string): void {
  const file = openSync(part, "r+");
  // Names of children are in it.
  fchmodSync(file, 0o600);
  fsyncSync(file);
  closeSync(file);
  renameSync(part, whole);
  // The new name too; Windows opens no folder, and keeps names by itself.
  if (process.platform === "win32") return;
  const folder = openSync(dirname(whole), "r");
  fsyncSync(folder);
  closeSync(folder);
}
