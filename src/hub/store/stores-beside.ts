import { readdirSync } from "node:fs";
import { basename } from "node:path";
import { storeFile } from "./store-file.ts";

/**
 * Older stores that lie in a data folder: put aside for a copy, or saved when the store was gone. Nothing erased since is erased in them, and only people may
 * say that they are needed no more.
 * @returns their names, oldest first
 */
export function storesBeside(dataFolder: string): string[] {
  const own = basename(storeFile(dataFolder));
  try {
    const names = readdirSync(dataFolder)
      .filter((name) => name.startsWith(`${own}.`) && /\.(aside|saved)-[0-9TZ]+(-wal)?$/.test(name))
      .sort();
    // A log goes with its store; alone it is all that could be saved.
    return names.filter(
      (name) => !names.includes(name.replace(/-wal$/, "")) || !name.endsWith("-wal"),
    );
  } catch {
    return [];
  }
}
