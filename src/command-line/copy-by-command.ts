import { execFile } from "node:child_process";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { FaultError } from "../book/faults.ts";
import type { CopyOfStore } from "../hub/copies/backups.ts";
import type { StoreHome } from "../hub/store/store-home.ts";

/** How `backup` ends where what was copied is broken already. */
const DAMAGED = 1;
const evenhand = fileURLToPath(new URL("evenhand.mjs", import.meta.url));

/** Copies a hub's store by the command `backup` in a process of its own: copying tens of megabytes would hold up everybody's marks. */
export const copyByCommand =
  ({ options, env }: StoreHome): CopyOfStore =>
  async (file: string) => {
    const running = promisify(execFile)(
      process.execPath,
      [evenhand, "backup", file, ...options, "--json"],
      { env: { ...process.env, ...env } },
    );
    // One that a disk holds up does not keep the hub from ending.
    const { child } = running;
    for (const its of [child, child.stdout, child.stderr]) (its as { unref?(): void })?.unref?.();
    try {
      await running;
    } catch (cause) {
      const { stdout = "", stderr = "", code } = cause as Ended;
      // A copy of a damaged test is a copy of all the others.
      if (code === DAMAGED && stdout.startsWith("{")) return "damaged";
      const detail = stderr.trim() || String(cause);
      const what = { why: "other", file, detail };
      throw new FaultError({ code: "BACKUP_FAILED", with: what }, { cause });
    }
  };

interface Ended {
  stdout?: string;
  stderr?: string;
  code?: unknown;
}
