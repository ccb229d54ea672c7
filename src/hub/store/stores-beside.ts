import { readdirSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { storeFile, storePlaceIn } from "./store-file.ts";

/**
 * Older stores that lie beside the one of a data folder: put aside for a copy, or saved when the store was gone. Nothing erased since is erased in them, and only people may
 * say that they are needed no more.
 * @returns their names, oldest first; whole paths where the store lies elsewhere
 */
export function storesBeside(dataFolder: string): string[] {
  const file = storeFile(dataFolder);
  const [folder, own] = [dirname(file), basename(file)];
  try {
    const names = readdirSync(folder)
      .filter((name) => name.startsWith(`${own}.`) && /\.(aside|saved)-[0-9TZ]+(-wal)?$/.test(name))
      .sort();
    // A log goes with its store; alone it is all that could be saved.
    const stores = names.filter(
      (name) => !names.includes(name.replace(/-wal$/, "")) || !name.endsWith("-wal"),
    );
    return folder === dirname(storePlaceIn(dataFolder))
      ? stores
      : stores.map((name) => join(folder, name));
  } catch {
    return [];
  }
}
