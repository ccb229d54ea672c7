import { mkdirSync } from "node:fs";
import { FaultError } from "../../book/faults.ts";
import { keepFolderPrivate } from "./private-files.ts";

/** The folder, private to whoever runs the hub. @throws FaultError STORE_LOST */
export function makeFolder(dataFolder: string): void {
  try {
    mkdirSync(dataFolder, { recursive: true, mode: 0o700 });
    keepFolderPrivate(dataFolder);
  } catch (cause) {
    throw new FaultError(
      { code: "STORE_LOST", with: { file: dataFolder, detail: String(cause) } },
      { cause },
    );
  }
}
