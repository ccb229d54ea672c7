import { mkdirSync } from "node:fs";
import { FaultError } from "../../core/faults.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { nobodyElse, type StoreNews } from "../../ports/store-news.ts";
import { holdFolder } from "./hold-folder.ts";
import { openDatabase } from "./open-database.ts";
import { openPostgres } from "./postgres-database.ts";
import { doorTables, postgresDoorTables } from "./postgres-door-tables.ts";
import { listenToPostgres } from "./postgres-news.ts";
import { postgresScorebook, scorebookTables } from "./postgres-scorebook.ts";
import { sqliteDoorTables } from "./sqlite-door-tables.ts";
import { sqliteScorebook } from "./sqlite-scorebook.ts";
import { storeFile } from "./store-file.ts";

/** Everything a hub keeps, and word from those it shares it with. */
export interface HubStore {
  name: "sqlite" | "postgres";
  /** The folder, or the database without user and password: may be shown to anybody. */
  place: string;
  store: ScorebookStore;
  door: DoorTables;
  news: StoreNews;
  close(): Promise<void>;
}

/**
 * Opens the data folder, which is then this process's alone; or with an address the database there, which it shares.
 * @throws FaultError STORE_IN_USE, STORE_DAMAGED, STORE_LOST, STORE_UNREACHABLE
 */
export async function openStore(
  dataFolder: string,
  address: string | undefined,
): Promise<HubStore> {
  try {
    mkdirSync(dataFolder, { recursive: true, mode: 0o700 });
  } catch (cause) {
    throw new FaultError(
      { code: "STORE_LOST", with: { file: dataFolder, detail: String(cause) } },
      { cause },
    );
  }
  return address === undefined ? openFolder(dataFolder) : openShared(address);
}

function openFolder(dataFolder: string): HubStore {
  const file = storeFile(dataFolder);
  const letGo = holdFolder(dataFolder);
  try {
    const database = openDatabase(file);
    const store = sqliteScorebook(database, file);
    return {
      name: "sqlite",
      place: dataFolder,
      store,
      door: sqliteDoorTables(database, file),
      news: nobodyElse,
      async close() {
        await store.close();
        letGo();
      },
    };
  } catch (error) {
    letGo();
    throw error;
  }
}

async function openShared(address: string): Promise<HubStore> {
  const database = await openPostgres(address, [...scorebookTables, ...doorTables]);
  try {
    const news = await listenToPostgres(database);
    return {
      name: "postgres",
      place: database.name,
      store: postgresScorebook(database),
      door: postgresDoorTables(database),
      news,
      async close() {
        await news.close();
        await database.close();
      },
    };
  } catch (error) {
    await database.close();
    throw error;
  }
}
