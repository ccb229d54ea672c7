import { execFile } from "node:child_process";
import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { FaultError } from "../book/faults.ts";
import type { CopyOfStore } from "../hub/copies/backups.ts";
import type { StorePlace } from "../hub/store/open-store.ts";
import { withoutPassword } from "../hub/store/postgres-address.ts";

/** How `backup` ends where what was copied is broken already. */
const DAMAGED = 1;
const evenhand = fileURLToPath(new URL("evenhand.mjs", import.meta.url));

/** Copies a hub's store by the command `backup` in a process of its own: copying tens of megabytes would hold up everybody's marks. */
export const copyByCommand =
  ({ dataFolder, address }: StorePlace): CopyOfStore =>
  async (file: string) => {
    const { store, password } = address === undefined ? {} : withoutPassword(address);
    const from = store === undefined ? ["--data", dataFolder] : ["--store", store];
    try {
      await promisify(execFile)(process.execPath, [evenhand, "backup", file, ...from], {
        env: { ...process.env, ...(password !== undefined && { PGPASSWORD: password }) },
      });
    } catch (cause) {
      const { stderr = "", code } = cause as { stderr?: string; code?: unknown };
      // A copy of a damaged test is a copy of all the others.
      if (code === DAMAGED && existsSync(file)) return "damaged";
      const detail = stderr.trim() || String(cause);
      throw new FaultError({ code: "BACKUP_FAILED", with: { file, detail } }, { cause });
    }
  };
