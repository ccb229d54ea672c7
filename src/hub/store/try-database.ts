import { spawnSync } from "node:child_process";
import { accessSync, constants } from "node:fs";
import { dirname } from "node:path";
import { fileURLToPath } from "node:url";
import { FaultError } from "../../book/faults.ts";
import { WHOLE } from "./apart-mark.ts";
import { throwStoreFault } from "./store-faults.ts";

const script = fileURLToPath(new URL("try-database.mjs", import.meta.url));

/**
 * Looks through a database in another process before this one opens it: an abort of the library that reads it would end the hub without a word.
 * @param isWhole  looks into the indexes too, which takes several times as long.
 * @returns whether it was looked through; where no other process could be started, or came as far as the database, it was not.
 * @throws FaultError STORE_DAMAGED, with the file's path; STORE_LOST where this user may not read or write it, or the disk cannot; STORE_FULL
 */
export function tryDatabase(path: string, isWhole: boolean): boolean {
  mustBeOurs(path);
  const { status, signal, stdout, error } = spawnSync(
    process.execPath,
    [script, path, String(WHOLE), ...(isWhole ? ["whole"] : [])],
    { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] },
  );
  // A machine that starts no process any more, or cannot load what reads, says nothing about the database; it is opened, and looked at, here.
  const [, found] = /^begun\n([\s\S]*)$/.exec(stdout ?? "") ?? [];
  if (error || found === undefined) return false;
  const said = found.trim();
  if (status === 0 && said === "ok") return true;
  const [, code, message = ""] = /^failed (\S*) ([\s\S]*)$/.exec(said) ?? [];
  // A full disk, or one that cannot be read, says nothing of the database either.
  if (code) throwStoreFault(path, Object.assign(new Error(message), { code }));
  const detail =
    status === 0 ? said : `reading it ended the program that tried, with ${signal ?? status}`;
  throw new FaultError({ code: "STORE_DAMAGED", with: { file: path, detail: message || detail } });
}

/** What another user made, or lies where nothing may be written, is not damaged. */
function mustBeOurs(path: string): void {
  try {
    accessSync(path, constants.R_OK | constants.W_OK);
    accessSync(dirname(path), constants.W_OK);
  } catch (cause) {
    const { code = "" } = cause as { code?: string };
    throw new FaultError({ code: "STORE_LOST", with: { file: path, detail: code } }, { cause });
  }
}
