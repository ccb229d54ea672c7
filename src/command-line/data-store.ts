import { existsSync } from "node:fs";
import { openSqliteScorebook } from "../hub/storage/sqlite-scorebook.ts";
import { storeFile } from "../hub/storage/store-file.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { Trouble } from "./trouble.ts";

export const DATA_FOLDER = "evenhand-data";
export type OpenStore = (folder: string) => ScorebookStore;

/** The store of a hub's data folder. */
export const openStoreIn: OpenStore = (folder) => openSqliteScorebook(storeFile(folder));

/** The same, only where there is one: asking for a test must not make an empty store. */
export const openExistingStore: OpenStore = (folder) => {
  if (!existsSync(storeFile(folder))) throw new Trouble([{ say: "no-store", file: folder }]);
  return openStoreIn(folder);
};
