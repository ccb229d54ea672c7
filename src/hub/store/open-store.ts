import { databaseHome } from "./database-home.ts";
import { folderHome } from "./folder-home.ts";
import type { HubStore, OpenSettings, OpenStore, StoreHome } from "./store-home.ts";
import type { StoredBooks } from "./stored-books.ts";

/** Where a hub keeps its tests: a folder, or with an address the database there. */
interface StorePlace {
  dataFolder: string;
  address?: string | undefined;
}

/** The one place that tells ways to store apart. */
export const storeHomeAt = ({ dataFolder, address }: StorePlace, books: StoredBooks): StoreHome =>
  address === undefined ? folderHome(dataFolder, books) : databaseHome(dataFolder, address, books);

/** See `StoreHome.forHub`. */
export const openStore = (
  dataFolder: string,
  address: string | undefined,
  books: StoredBooks,
  settings?: OpenSettings,
): Promise<HubStore> => storeHomeAt({ dataFolder, address }, books).forHub(settings);

/** See `StoreHome.forCommand`. */
export const openForCommand = (
  place: StorePlace,
  books: StoredBooks,
  how: { alone?: boolean; makes?: boolean },
): Promise<OpenStore | undefined> => storeHomeAt(place, books).forCommand(how);
