type Tables = Record<string, IDBObjectStore>;

/** A database of the browser, opened when first asked for and anew when the platform has dropped it. */
export interface Database {
  /** The connection, if there is one already: whoever has it can write before anything else runs. */
  connected(): IDBDatabase | undefined;
  connect(): Promise<IDBDatabase>;
  /**
   * Does `work` in one strict transaction over `tables`, and resolves once it is on the disk. What throws in it undoes all of it.
   * Await nothing but `answer` in there, or the browser closes the transaction under it.
   */
  within<T>(
    mode: IDBTransactionMode,
    tables: readonly string[],
    work: (tables: Tables) => Promise<T>,
  ): Promise<T>;
  close(): void;
}

/** @param makeTables  runs once, on a device that has no such database yet. */
export function openDatabase(
  name: string,
  version: number,
  makeTables: (database: IDBDatabase) => void,
): Database {
  let opening: Promise<IDBDatabase> | undefined;
  let open: IDBDatabase | undefined;

  function close() {
    open?.close();
    open = opening = undefined;
  }
  async function dial(): Promise<IDBDatabase> {
    const request = indexedDB.open(name, version);
    request.onupgradeneeded = ({ oldVersion }) => {
      if (oldVersion === 0) makeTables(request.result);
    };
    const dialled = await answer(request);
    // The browser has cleared its storage, or a later version of the app in another tab waits to change the tables.
    dialled.onclose = close;
    dialled.onversionchange = close;
    open = dialled;
    return dialled;
  }
  function connect(): Promise<IDBDatabase> {
    opening ??= dial().catch((error) => {
      opening = undefined;
      throw error;
    });
    return opening;
  }

  return {
    connected: () => open,
    connect,
    close,
    async within(mode, tables, work) {
      const once = async () => {
        const database = await connect();
        const transaction = strict(database, tables, mode);
        const committed = done(transaction);
        const given = Object.fromEntries(
          tables.map((table) => [table, transaction.objectStore(table)]),
        );
        const [result] = await Promise.all([
          work(given).catch((error) => {
            undo(transaction);
            throw error;
          }),
          committed,
        ]);
        return result;
      };
      try {
        return await once();
      } catch (error) {
        // iPadOS drops the connection of an app that slept; retrying on the same handle would lose the write.
        if (!isConnectionLost(error)) throw error;
        close();
        return once();
      }
    },
  };
}

/** Chromium says that a write is done before the disk does, unless told otherwise. */
export const strict = (
  database: IDBDatabase,
  tables: readonly string[],
  mode: IDBTransactionMode,
): IDBTransaction => database.transaction(tables, mode, { durability: "strict" });

export const answer = <T>(request: IDBRequest<T>): Promise<T> =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

/** Resolves when the disk has it. */
export const done = (transaction: IDBTransaction): Promise<void> =>
  new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () =>
      reject(transaction.error ?? new DOMException("undone", "AbortError"));
  });

export function undo(transaction: IDBTransaction): void {
  try {
    transaction.abort();
  } catch {
    // A request that failed has undone it already.
  }
}

/** Whether the connection, and not the work, is at fault. */
export function isConnectionLost(error: unknown): boolean {
  const { name, message } = error as { name?: string; message?: string };
  return name === "InvalidStateError" || /connection.*lost|database.*clos/i.test(message ?? "");
}
