import { resolve } from "node:path";
import { FaultError } from "../book/faults.ts";
import { forgetAgain, openTakenAway } from "../hub/forgetting/forget-again.ts";
import { type OpenStore, openForCommand, type StorePlace } from "../hub/store/open-store.ts";
import { isPostgresAddress, shownAddress } from "../hub/store/postgres-address.ts";
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
export function storePlace({ data, store }: StoreValues, folder: string): StorePlace {
  if (store !== undefined && !isPostgresAddress(store)) throw new Trouble([{ say: "store-wrong" }]);
  return { dataFolder: resolve(folder, data), address: store };
}

/**
 * Does a command's work on the store that the options name, and closes it.
 * @param how  see `openForCommand`
 * @throws Trouble where there is none, unless the command makes one.
 */
export async function withStore<T>(
  place: StorePlace,
  how: { alone?: boolean; makes?: boolean },
  work: (opened: OpenStore) => Promise<T>,
): Promise<T> {
  const opened = await openForCommand(place, testBooks, how);
  if (!opened)
    throw new Trouble([
      place.address === undefined
        ? { say: "no-store", file: place.dataFolder }
        : { say: "no-store-there", file: shownAddress(place.address) },
    ]);
  try {
    return await work(opened);
  } finally {
    await opened.close();
  }
}

/**
 * Before anything of a folder is handed out: what was erased, taken back or shut out goes again, for an older copy may have been put there by hand.
 * A hub at work with it has done so as it began.
 */
export async function forgetNoted(place: StorePlace): Promise<void> {
  if (place.address !== undefined) return;
  const notes = openTakenAway(place.dataFolder);
  try {
    const { waits } = await withStore(place, { alone: true }, (opened) =>
      forgetAgain(opened, notes),
    );
    const [waiting] = waits;
    if (waiting) throw new FaultError(waiting);
  } catch (error) {
    if (!(error instanceof FaultError) || error.fault.code !== "STORE_IN_USE") throw error;
  }
}
