import { createWriteStream } from "node:fs";
import { join } from "node:path";
import type { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { testSides } from "../../belt-test/scorebook/test-sides.ts";
import { FaultError } from "../../book/faults.ts";
import { dropHalfRestored, removeFile } from "../store/backup.ts";
import { readChainsIn } from "../store/read-chains.ts";
import { storeFile } from "../store/store-file.ts";
import { dropTrial, trialStart } from "./trial-start.ts";

/** A hub of a lifetime of tests; more is no copy of a hub. */
const MOST_BYTES = 2 * 1024 ** 3;

export interface BringBack {
  /** Where a copy may lie until the hub has begun from it. */
  folder: string;
  /** Told of a sound copy: the hub is to be closed, and begun from it. */
  onSound: (file: string) => void;
}

const BROUGHT_BACK = "brought-back.sqlite";

/** Half a copy that a hub was killed over: names are in it. */
export function dropBroughtBack(folder: string): void {
  for (const rest of ["", "-wal", "-shm"]) removeFile(join(folder, `${BROUGHT_BACK}${rest}`));
  dropHalfRestored(storeFile(folder));
  dropTrial(folder);
}

/**
 * Keeps what is sent as a file, and looks whether it is a sound copy of a hub. The hub's own store is not touched.
 * @returns the file, and how much it holds.
 * @throws FaultError COPY_UNSOUND where it cannot be read, a chain is broken or no hub could begin from it, STORE_FULL where it does not fit; nothing is left behind then.
 */
export async function receiveCopy(
  sent: Readable,
  folder: string,
): Promise<{ file: string; tests: number; entries: number }> {
  const file = join(folder, BROUGHT_BACK);
  const leave = () => dropBroughtBack(folder);
  leave();
  let bytes = 0;
  try {
    await pipeline(
      sent,
      async function* (parts: AsyncIterable<Buffer>) {
        for await (const part of parts) {
          bytes += part.length;
          if (bytes > MOST_BYTES) throw new FaultError({ code: "COPY_UNSOUND" });
          yield part;
        }
      },
      createWriteStream(file, { mode: 0o600 }),
    );
    const chains = await readChainsIn(file, testSides);
    if (chains.length === 0 || chains.some(({ broken }) => broken !== null))
      throw new FaultError({ code: "COPY_UNSOUND" });
    await trialStart(file, folder);
    const entries = chains.reduce((sum, one) => sum + one.entries, 0);
    return { file, tests: chains.length, entries };
  } catch (error) {
    leave();
    if ((error as { code?: string }).code === "ENOSPC")
      throw new FaultError({ code: "STORE_FULL" });
    if (error instanceof FaultError && error.fault.code === "STORE_FULL") throw error;
    throw new FaultError({ code: "COPY_UNSOUND" }, { cause: error });
  }
}
