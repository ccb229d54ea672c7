import { cpSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll } from "vitest";
import { aFolder } from "./run.ts";

/** A folder that takes long to make is made once in a file, and every test gets a copy of its own. */
export function madeOnce(make: () => Promise<string>): () => Promise<string> {
  const kept = mkdtempSync(join(tmpdir(), "evenhand-once-"));
  let isMade: Promise<void> | undefined;
  afterAll(() => rmSync(kept, { recursive: true, force: true }));
  return async () => {
    isMade ??= make().then((folder) => cpSync(folder, kept, { recursive: true }));
    await isMade;
    const folder = aFolder();
    cpSync(kept, folder, { recursive: true });
    return folder;
  };
}
