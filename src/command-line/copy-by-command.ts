import { execFile } from "node:child_process";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { FaultError } from "../book/faults.ts";
import type { StorePlace } from "../hub/store/open-store.ts";
import { withoutPassword } from "../hub/store/postgres-address.ts";

const evenhand = fileURLToPath(new URL("evenhand.mjs", import.meta.url));

/** Copies a hub's store by the command `backup` in a process of its own: copying tens of megabytes would hold up everybody's marks. */
export const copyByCommand =
  ({ dataFolder, address }: StorePlace) =>
  async (file: string): Promise<void> => {
    const { store, password } = address === undefined ? {} : withoutPassword(address);
    const from = store === undefined ? ["--data", dataFolder] : ["--store", store];
    try {
      await promisify(execFile)(process.execPath, [evenhand, "backup", file, ...from], {
        env: { ...process.env, ...(password !== undefined && { PGPASSWORD: password }) },
      });
    } catch (cause) {
      const { stderr = "" } = cause as { stderr?: string };
      const detail = stderr.trim() || String(cause);
      throw new FaultError({ code: "BACKUP_FAILED", with: { file, detail } }, { cause });
    }
  };
