import { execFile } from "node:child_process";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { FaultError } from "../core/faults.ts";

const evenhand = fileURLToPath(new URL("evenhand.mjs", import.meta.url));

/** Copies a hub's folder by the command `backup` in a process of its own: copying tens of megabytes would hold up everybody's marks. */
export const copyByCommand =
  (dataFolder: string) =>
  async (file: string): Promise<void> => {
    try {
      await promisify(execFile)(process.execPath, [evenhand, "backup", file, "--data", dataFolder]);
    } catch (cause) {
      const { stderr = "" } = cause as { stderr?: string };
      const detail = stderr.trim() || String(cause);
      throw new FaultError({ code: "BACKUP_FAILED", with: { file, detail } }, { cause });
    }
  };
