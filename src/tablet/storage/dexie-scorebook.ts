import canonicalize from "canonicalize";
import { Dexie, type Table } from "dexie";
import type { AnyEntry } from "../../book/entry.ts";
import type { FaultCode } from "../../book/faults.ts";
import { FaultError } from "../../book/faults.ts";
import type { CountId, EntryId, GradingId, SideRecordId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { refsIn } from "../../line/refs-in.ts";
import type { Appended } from "../../ports/scorebook-store.ts";
import type { Pass, Refusal, TabletStore } from "../../ports/tablet-store.ts";

interface Row {
  place?: number;
  id: EntryId;
  grading: GradingId;
  device: CountId;
  n: number;
  lamport: number;
  entry: AnyEntry;
}
interface Unsent {
  id: EntryId;
  grading: GradingId;
  n: number;
  sides: SideRecordId[];
  refusal?: Refusal;
  isOwed?: true;
}
interface Receipt {
  id: EntryId;
  grading: GradingId;
  receipt: string;
}
type Tables = {
  rows: Table<Row, number>;
  sides: Table<SideRecord, string>;
  outbox: Table<Unsent, string>;
  passes: Table<Pass, string>;
  receipts: Table<Receipt, string>;
};

/** Marks on this tablet. Survives a reload, a crash and a dead battery: every write waits for the disk. */
export function openDexieScorebook(name: string): TabletStore {
  let database = connect(name);

  /** Runs `work`; when the platform has dropped the connection (a tablet back from sleep), opens it anew and tries once more. */
  async function steadily<T>(work: (db: Dexie & Tables) => Promise<T>): Promise<T> {
    try {
      return await work(database);
    } catch (error) {
      if (!isConnectionLost(error)) throw asFault(error);
      database.close();
      database = connect(name);
      try {
        return await work(database);
      } catch (second) {
        throw asFault(second);
      }
    }
  }

  /** Adds rows inside a running transaction. Await nothing but Dexie in here, or IndexedDB closes it under us. */
  async function addRows(
    db: Dexie & Tables,
    grading: GradingId,
    entries: readonly AnyEntry[],
  ): Promise<Appended> {
    const result: Appended = { added: [], known: [], refused: [] };
    const ids = entries.map(({ id }) => id);
    const held = new Map(
      (await db.rows.where("id").anyOf(ids).toArray()).map((row) => [row.id, row.entry]),
    );
    const numbers = entries.map(({ device, n }) => [grading, device, n] as const);
    const twins = await db.rows.where("[grading+device+n]").anyOf(numbers).toArray();
    const taken = new Set(twins.map(({ device, n }) => `${device} ${n}`));
    const rows: Row[] = [];
    for (const entry of entries) {
      const { id, device, n } = entry;
      const seen = held.get(id);
      if (seen) {
        if (canonicalize(seen) === canonicalize(entry)) result.known.push(id);
        else result.refused.push({ id, fault: { code: "ID_REUSED", with: { id } } });
      } else if (taken.has(`${device} ${n}`)) {
        result.refused.push({ id, fault: { code: "N_REUSED", with: { device, n } } });
      } else {
        held.set(id, entry);
        taken.add(`${device} ${n}`);
        rows.push(rowOf(grading, entry));
      }
    }
    const places = await db.rows.bulkAdd(rows, { allKeys: true });
    rows.forEach(({ entry }, index) => {
      result.added.push({ entry, seq: places[index] ?? 0, chain: "" });
    });
    return result;
  }

  /** A hub that was put back from an older copy may have another line at a place of a count than the one that was lost; what waits here to be sent gives way to none. */
  async function giveWay(db: Dexie & Tables, grading: GradingId, entries: readonly AnyEntry[]) {
    const numbers = entries.map(({ device, n }) => [grading, device, n] as const);
    const ids = new Set(entries.map(({ id }) => id));
    const others = (await db.rows.where("[grading+device+n]").anyOf(numbers).toArray()).filter(
      ({ id }) => !ids.has(id),
    );
    const unsent = await db.outbox.bulkGet(others.map(({ id }) => id));
    await db.rows.bulkDelete(others.flatMap(({ place }, at) => (unsent[at] ? [] : (place ?? []))));
  }

  return {
    append: (grading, entries, sides = []) =>
      steadily((db) =>
        db.transaction("rw", db.rows, db.sides, async () => {
          if (sides.length > 0) await db.sides.bulkPut([...sides]);
          return addRows(db, grading, entries);
        }),
      ),

    async keep(grading, entries, sides = []) {
      if (!database.isOpen()) await database.open();
      try {
        await keepAtOnce(database.backendDB(), grading, entries, sides);
      } catch (error) {
        if (!isConnectionLost(error)) throw asFault(error);
        await steadily(async (db) =>
          keepAtOnce((await db.open()).backendDB(), grading, entries, sides),
        );
      }
    },

    hear: (grading, entries, sides, { feed, cursor, link, unread, lost }) =>
      steadily((db) =>
        db.transaction("rw", db.rows, db.sides, db.outbox, db.passes, async () => {
          if (sides.length > 0) await db.sides.bulkPut([...sides]);
          await giveWay(db, grading, entries);
          await addRows(db, grading, entries);
          await db.passes.update(grading, {
            feed,
            cursor,
            link,
            ...(unread && { unread }),
            ...(lost && { lost }),
          });
        }),
      ),

    read: (grading, since, limit = Number.POSITIVE_INFINITY) =>
      steadily(async (db) => {
        const found = db.rows
          .where("[grading+place]")
          .between([grading, since], [grading, Dexie.maxKey], false);
        const rows = await (Number.isFinite(limit) ? found.limit(limit) : found).toArray();
        return rows.map(({ entry, place }): StoredEntry => ({ entry, seq: place ?? 0, chain: "" }));
      }),

    sides: (grading) => steadily((db) => db.sides.where("grading").equals(grading).toArray()),

    erase: (grading, about, misfiled = []) =>
      steadily((db) =>
        db.sides
          .where("grading")
          .equals(grading)
          .and((side) => side.about === about || misfiled.includes(side.id))
          .delete(),
      ),

    gradings: () =>
      steadily(async (db) => {
        const gradings = (await db.rows.orderBy("grading").uniqueKeys()) as GradingId[];
        return Promise.all(
          gradings.map(async (grading) => ({
            grading,
            entries: await db.rows.where("grading").equals(grading).count(),
          })),
        );
      }),

    outbox: (grading) =>
      steadily((db) =>
        db.transaction("r", db.rows, db.sides, db.outbox, db.receipts, async () => {
          const unsent = await db.outbox.where("grading").equals(grading).toArray();
          const ids = unsent.map(({ id }) => id);
          const rows = await db.rows.where("id").anyOf(ids).toArray();
          const given = await db.receipts.bulkGet(ids);
          const sides = await db.sides.bulkGet([...new Set(unsent.flatMap((row) => row.sides))]);
          return {
            entries: rows.sort((a, b) => (a.place ?? 0) - (b.place ?? 0)).map(({ entry }) => entry),
            sides: sides.filter((record) => record !== undefined),
            refusals: unsent.flatMap(({ refusal }) => refusal ?? []),
            owed: unsent.flatMap(({ id, isOwed }) => (isOwed ? id : [])),
            receipts: new Map(given.flatMap((one) => (one ? [[one.id, one.receipt]] : []))),
          };
        }),
      ),

    refused: (refusal) =>
      steadily(async (db) => void (await db.outbox.update(refusal.id, { refusal }))),

    sent: (grading, ids, receipts = []) =>
      steadily((db) =>
        db.transaction("rw", db.outbox, db.receipts, async () => {
          await db.receipts.bulkPut(
            receipts.map((receipt, at) => ({ id: ids[at] as EntryId, grading, receipt })),
          );
          await db.outbox.bulkDelete([...ids]);
        }),
      ),

    owe: (grading, entries) =>
      steadily(async (db) => {
        const unsent = entries.map((entry): Unsent => {
          const sides = refsIn(entry).map(({ id }) => id);
          return { id: entry.id, grading, n: entry.n, sides, isOwed: true };
        });
        await db.outbox.bulkPut(unsent);
      }),

    pass: (grading) => steadily((db) => db.passes.get(grading)),
    passes: () => steadily((db) => db.passes.toArray()),
    keepPass: (pass) => steadily(async (db) => void (await db.passes.put(pass))),

    dropSides: (grading, kinds, atMs) =>
      steadily((db) =>
        db.transaction("rw", db.sides, db.outbox, db.passes, async () => {
          const unsent = await db.outbox.where("grading").equals(grading).toArray();
          const kept = new Set(unsent.flatMap(({ sides }) => sides));
          const ids = (await db.sides.where("grading").equals(grading).toArray()).flatMap(
            ({ id, kind }) => (kinds.includes(kind) && !kept.has(id) ? [id] : []),
          );
          await db.sides.bulkDelete(ids);
          // Another feed begins at its beginning: the names come again with it.
          await db.passes.update(grading, (pass) => {
            Object.assign(pass, { rosterDroppedAtMs: atMs, cursor: 0 });
            delete pass.feed;
            delete pass.link;
          });
          return ids;
        }),
      ),

    forget: (grading) =>
      steadily((db) =>
        db.transaction("rw", [db.rows, db.sides, db.outbox, db.receipts, db.passes], async () => {
          for (const table of [db.rows, db.sides, db.outbox, db.receipts])
            await table.where("grading").equals(grading).delete();
          await db.passes.delete(grading);
        }),
      ),

    close: async () => database.close(),
  };
}

function connect(name: string): Dexie & Tables {
  // Chromium answers before the disk does unless told otherwise.
  const database = new Dexie(name, { chromeTransactionDurability: "strict" }) as Dexie & Tables;
  database.version(1).stores({
    rows: "++place, &id, grading, [grading+place], &[grading+device+n], [grading+lamport]",
    sides: "id, grading",
    outbox: "id, grading, [grading+n]",
    passes: "grading",
  });
  database.version(2).stores({ receipts: "id, grading" });
  return database;
}

/**
 * A tap's own way to the disk: its requests are made before anything else runs, without Dexie's turns between them,
 * so that the disk works while the screen is drawn. Nothing is read first; the indexes refuse what is here already.
 */
function keepAtOnce(
  database: IDBDatabase,
  grading: GradingId,
  entries: readonly AnyEntry[],
  sides: readonly SideRecord[],
): Promise<void> {
  return new Promise((kept, failed) => {
    const writing = database.transaction(["rows", "outbox", "sides"], "readwrite", {
      durability: "strict",
    });
    writing.oncomplete = () => kept();
    writing.onabort = () => failed(writing.error ?? new Error("keepAtOnce: aborted"));
    const rows = writing.objectStore("rows");
    const outbox = writing.objectStore("outbox");
    const sideIds = sides.map(({ id }) => id);
    try {
      for (const entry of entries) {
        rows.add(rowOf(grading, entry));
        outbox.add({ id: entry.id, grading, n: entry.n, sides: sideIds } satisfies Unsent);
      }
      for (const record of sides) writing.objectStore("sides").put(record);
    } catch (error) {
      // What the browser refuses at once undoes nothing by itself: half of the batch would be kept.
      writing.abort();
      throw error;
    }
  });
}

const rowOf = (grading: GradingId, entry: AnyEntry): Row => {
  const { id, device, n, lamport } = entry;
  return { id, grading, device, n, lamport, entry };
};

/** iPadOS drops the connection of an app that slept; retrying on the same handle would lose the write. */
function isConnectionLost(error: unknown): boolean {
  const { name, message } = error as { name?: string; message?: string };
  return (
    name === "DatabaseClosedError" ||
    name === "InvalidStateError" ||
    /connection.*lost|database.*clos/i.test(message ?? "")
  );
}

function asFault(error: unknown): unknown {
  if (error instanceof FaultError) return error;
  const { name, inner } = error as { name?: string; inner?: { name?: string } };
  // A number or an id that is taken: another tab of this device wrote first, and nothing of the batch was written.
  if (name === "ConstraintError" || name === "BulkError")
    return new FaultError({ code: "N_REUSED" }, { cause: error });
  const isFull = name === "QuotaExceededError" || inner?.name === "QuotaExceededError";
  const code: FaultCode = isFull
    ? "STORE_FULL"
    : isConnectionLost(error)
      ? "STORE_LOST"
      : "STORE_CLOSED";
  return new FaultError(
    { code, with: { reason: String((error as Error).message ?? error) } },
    { cause: error },
  );
}
