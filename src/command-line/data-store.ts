import { resolve } from "node:path";
import { FaultError } from "../book/faults.ts";
import { forgetAgain, openTakenAway } from "../hub/forgetting/forget-again.ts";
import { storeHomeAt } from "../hub/store/open-store.ts";
import { isPostgresAddress } from "../hub/store/postgres-address.ts";
import type { OpenStore, StoreHome } from "../hub/store/store-home.ts";
import { testBooks } from "../hub/test-room/test-books.ts";
import { Trouble } from "./trouble.ts";

/** Where a command finds a hub's store: a data folder, or a database that hubs share. */
export const storeOptions = {
  data: { type: "string", default: "evenhand-data" },
  store: { type: "string" },
} as const;
interface StoreValues {
  data: string;
  store?: string | undefined;
}

/** What the options say, with the folder's whole path. @throws Trouble for an address that is none. */
export function storeHome({ data, store }: StoreValues, folder: string): StoreHome {
  if (store !== undefined && !isPostgresAddress(store)) throw new Trouble([{ say: "store-wrong" }]);
  return storeHomeAt({ dataFolder: resolve(folder, data), address: store }, testBooks);
}

/**
 * Does a command's work on the store that the options name, and closes it.
 * @param how  see `StoreHome.forCommand`
 * @throws Trouble where there is none, unless the command makes one.
 */
export async function withStore<T>(
  home: StoreHome,
  how: { alone?: boolean; makes?: boolean },
  work: (opened: OpenStore) => Promise<T>,
): Promise<T> {
  const opened = await home.forCommand(how);
  if (!opened) throw noStore(home);
  try {
    return await work(opened);
  } finally {
    await opened.close();
  }
}

export const noStore = ({ isShared, shown }: StoreHome): Trouble =>
  new Trouble([{ say: isShared ? "no-store-there" : "no-store", file: shown }]);

/**
 * Before anything of a folder is handed out: what was erased, taken back or shut out goes again, for an older copy may have been put there by hand.
 * A hub at work with it has done so as it began.
 */
export async function forgetNoted(home: StoreHome): Promise<void> {
  if (home.isShared) return;
  const notes = openTakenAway(home.dataFolder);
  try {
    const { waits } = await withStore(home, { alone: true }, (opened) =>
      forgetAgain(opened, notes),
    );
    const [waiting] = waits;
    if (waiting) throw new FaultError(waiting);
  } catch (error) {
    if (!(error instanceof FaultError) || error.fault.code !== "STORE_IN_USE") throw error;
  }
}
