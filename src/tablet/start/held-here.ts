import type { ScorebookFile } from "../../belt-test/scorebook/scorebook-file.ts";

/** A belt test as it lies on this device's disk, read without any of the app: the app is what is broken. */
export interface Held {
  title: string;
  file: ScorebookFile;
}
interface Row {
  grading: string;
  device: string;
  n: number;
  entry: unknown;
}
type Kept = Pick<ScorebookFile, "grading" | "person" | "heads" | "passedOver"> & {
  title?: string;
  name: string;
  fromFiles?: { since: number };
};

/** Every belt test that the database of this name holds anything of; none where there is no database. */
export async function heldHere(name: string): Promise<Held[]> {
  const database = await openAsItIs(name);
  if (!database) return [];
  try {
    const [rows, sides, passes] = await Promise.all([
      all<Row>(database, "rows"),
      all<ScorebookFile["sides"][number]>(database, "sides"),
      all<Kept>(database, "passes"),
    ]);
    const gradings = new Set([...rows, ...passes].map(({ grading }) => grading));
    return [...gradings].map((grading) => {
      const pass = passes.find((one) => one.grading === grading);
      const file: ScorebookFile = {
        format: "evenhand-scorebook",
        version: 1,
        grading: grading as ScorebookFile["grading"],
        ...(pass?.person && { person: pass.person }),
        entries: rows
          .filter((row) => row.grading === grading)
          .sort((a, b) => (a.device < b.device ? -1 : a.device > b.device ? 1 : a.n - b.n))
          .map(({ entry }) => entry),
        sides: sides.filter((side) => side.grading === grading),
        ...(pass?.passedOver?.length && { passedOver: pass.passedOver }),
        ...(pass?.fromFiles && { filesSince: pass.fromFiles.since }),
        ...(pass?.heads?.length && { heads: pass.heads }),
      };
      return { title: pass?.title ?? pass?.name ?? grading, file };
    });
  } finally {
    database.close();
  }
}

/** Makes no database where there is none. */
function openAsItIs(name: string): Promise<IDBDatabase | undefined> {
  return new Promise((resolve) => {
    const asked = indexedDB.open(name);
    asked.onupgradeneeded = () => asked.transaction?.abort();
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => resolve(undefined);
  });
}
function all<T>(database: IDBDatabase, store: string): Promise<T[]> {
  if (!database.objectStoreNames.contains(store)) return Promise.resolve([]);
  return new Promise((resolve, reject) => {
    const asked = database.transaction(store).objectStore(store).getAll();
    asked.onsuccess = () => resolve(asked.result as T[]);
    asked.onerror = () => reject(asked.error);
  });
}
