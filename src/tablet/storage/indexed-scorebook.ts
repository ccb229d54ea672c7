import canonicalize from "canonicalize";
import type { FaultCode } from "../../core/faults.ts";
import { FaultError } from "../../core/faults.ts";
import type { DeviceId, EntryId, GradingId, SideRecordId } from "../../core/identity.ts";
import type { AnyEntry } from "../../core/scorebook/entry.ts";
import type { SideRecord } from "../../core/scorebook/side-record.ts";
import type { Appended, StoredEntry } from "../../ports/scorebook-store.ts";
import type { Pass, TabletStore } from "../../ports/tablet-store.ts";
import { refsIn } from "../../sync/refs-in.ts";
import {
  answer,
  type Database,
  done,
  isConnectionLost,
  openDatabase,
  strict,
  undo,
} from "./database.ts";

interface Row {
  place?: number;
  id: EntryId;
  grading: GradingId;
  device: DeviceId;
  n: number;
  lamport: number;
  entry: AnyEntry;
}
interface Unsent {
  id: EntryId;
  grading: GradingId;
  n: number;
  sides: SideRecordId[];
}

/** Marks on this tablet. Survives a reload, a crash and a dead battery: every write waits for the disk. */
export function openIndexedScorebook(name: string): TabletStore {
  const database = openDatabase(name, 10, makeTables);
  const within: Database["within"] = (mode, tables, work) =>
    database.within(mode, tables, work).catch((error) => {
      throw asFault(error);
    });
  const one = <T>(table: string, ask: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> =>
    within("readonly", [table], (tables) => answer(ask(tables[table] as IDBObjectStore)));

  return {
    append: (grading, entries, sides = []) =>
      within("readwrite", ["rows", "sides"], ({ rows, sides: records }) => {
        for (const record of sides) records?.put(record);
        return addRows(rows as IDBObjectStore, grading, entries);
      }),

    async keep(grading, entries, sides = []) {
      const work = (to: IDBDatabase) => keepAtOnce(to, grading, entries, sides);
      try {
        await work(database.connected() ?? (await database.connect()));
      } catch (error) {
        if (!isConnectionLost(error)) throw asFault(error);
        database.close();
        await database
          .connect()
          .then(work)
          .catch((second) => {
            throw asFault(second);
          });
      }
    },

    hear: (grading, entries, sides, { feed, cursor, link }) =>
      within(
        "readwrite",
        ["rows", "sides", "passes"],
        async ({ rows, sides: records, passes: held }) => {
          for (const record of sides) records?.put(record);
          await addRows(rows as IDBObjectStore, grading, entries);
          await change(held as IDBObjectStore, grading, ({ link: _, ...pass }) => ({
            ...pass,
            feed,
            cursor,
            ...(link === undefined ? {} : { link }),
          }));
        },
      ),

    read: async (grading, since, limit = Number.POSITIVE_INFINITY) => {
      const found: Row[] = await one("rows", (rows) =>
        rows
          .index("[grading+place]")
          .getAll(
            IDBKeyRange.bound([grading, since], [grading, HIGHEST], true),
            Number.isFinite(limit) ? limit : undefined,
          ),
      );
      return found.map(({ entry, place }): StoredEntry => ({ entry, seq: place ?? 0, chain: "" }));
    },

    sides: (grading) => one("sides", (sides) => sides.index("grading").getAll(grading)),

    erase: (grading, about) =>
      within("readwrite", ["sides"], async ({ sides }) => {
        const found = (await ofGrading<SideRecord>(sides, grading)).filter(
          (side) => side.about === about,
        );
        for (const { id } of found) sides?.delete(id);
        return found.length;
      }),

    gradings: () =>
      within("readonly", ["rows"], async ({ rows }) => {
        const byGrading = (rows as IDBObjectStore).index("grading");
        const counted: Promise<{ grading: GradingId; entries: number }>[] = [];
        const cursor = byGrading.openKeyCursor(null, "nextunique");
        await new Promise<void>((walked, failed) => {
          cursor.onerror = () => failed(cursor.error);
          cursor.onsuccess = () => {
            if (!cursor.result) return walked();
            const grading = cursor.result.key as GradingId;
            counted.push(
              answer(byGrading.count(grading)).then((entries) => ({ grading, entries })),
            );
            cursor.result.continue();
          };
        });
        return Promise.all(counted);
      }),

    outbox: (grading) =>
      within("readonly", ["rows", "sides", "outbox"], async ({ rows, sides, outbox }) => {
        const unsent: Unsent[] = await answer(
          (outbox as IDBObjectStore).index("[grading+n]").getAll(under(grading)),
        );
        const byId = (rows as IDBObjectStore).index("id");
        const sideIds = new Set(unsent.flatMap((row) => row.sides));
        const [found, records] = await Promise.all([
          Promise.all(unsent.map(({ id }) => answer<Row | undefined>(byId.get(id)))),
          Promise.all(
            [...sideIds].map((id) =>
              answer<SideRecord | undefined>((sides as IDBObjectStore).get(id)),
            ),
          ),
        ]);
        return {
          entries: found.flatMap((row) => row?.entry ?? []).sort((a, b) => a.n - b.n),
          sides: records.filter((record) => record !== undefined),
        };
      }),

    sent: (_grading, ids) =>
      within("readwrite", ["outbox"], async ({ outbox }) => {
        for (const id of ids) outbox?.delete(id);
      }),

    owe: (grading, entries) =>
      within("readwrite", ["outbox"], async ({ outbox }) => {
        for (const entry of entries) {
          const sides = refsIn(entry).map(({ id }) => id);
          outbox?.put({ id: entry.id, grading, n: entry.n, sides } satisfies Unsent);
        }
      }),

    counters: (grading, device) =>
      within("readonly", ["rows"], async ({ rows }) => {
        const highest = (index: string, ...start: string[]) => {
          const keys = (rows as IDBObjectStore).index(index);
          return answer(keys.openKeyCursor(under(...start), "prev"));
        };
        const [last, newest] = await Promise.all([
          highest("[grading+device+n]", grading, device),
          highest("[grading+lamport]", grading),
        ]);
        const end = (cursor: IDBCursor | null) => ((cursor?.key ?? []) as number[]).at(-1) ?? 0;
        return { n: end(last), lamport: end(newest) };
      }),

    pass: (grading) => one("passes", (passes) => passes.get(grading)),
    passes: () => one("passes", (passes) => passes.getAll()),
    keepPass: (pass) =>
      within("readwrite", ["passes"], async ({ passes }) => {
        passes?.put(pass);
      }),

    dropSides: (grading, kinds, atMs) =>
      within("readwrite", ["sides", "outbox", "passes"], async ({ sides, outbox, passes }) => {
        const [unsent, held] = await Promise.all([
          ofGrading<Unsent>(outbox, grading),
          ofGrading<SideRecord>(sides, grading),
        ]);
        const kept = new Set(unsent.flatMap((row) => row.sides));
        const ids = held.flatMap(({ id, kind }) =>
          kinds.includes(kind) && !kept.has(id) ? [id] : [],
        );
        for (const id of ids) sides?.delete(id);
        // Another feed begins at its beginning: the names come again with it.
        await change(passes as IDBObjectStore, grading, ({ feed: _, link: __, ...pass }) => ({
          ...pass,
          rosterDroppedAtMs: atMs,
          cursor: 0,
        }));
        return ids;
      }),

    forget: (grading) =>
      within(
        "readwrite",
        ["rows", "sides", "outbox", "passes"],
        async ({ passes, ...ofEntries }) => {
          for (const table of Object.values(ofEntries)) {
            for (const key of await answer(table.index("grading").getAllKeys(grading)))
              table.delete(key);
          }
          passes?.delete(grading);
        },
      ),

    close: async () => database.close(),
  };
}

/** As they have been on tablets since the first version, so their names and their number stay. */
function makeTables(database: IDBDatabase): void {
  const table = (
    name: string,
    options: IDBObjectStoreParameters,
    indexes: readonly string[],
    unique: readonly string[] = [],
  ) => {
    const made = database.createObjectStore(name, options);
    for (const index of [...indexes, ...unique]) {
      const parts = index.match(/\w+/g) ?? [];
      made.createIndex(index, index.startsWith("[") ? parts : index, {
        unique: unique.includes(index),
      });
    }
  };
  table(
    "rows",
    { keyPath: "place", autoIncrement: true },
    ["grading", "[grading+place]", "[grading+lamport]"],
    ["id", "[grading+device+n]"],
  );
  table("sides", { keyPath: "id" }, ["grading"]);
  table("outbox", { keyPath: "id" }, ["grading", "[grading+n]"]);
  table("passes", { keyPath: "grading" }, []);
}

/** Above every number and every text, as IndexedDB orders keys. */
const HIGHEST: IDBValidKey = [];
/** Every compound key that begins so. */
const under = (...start: string[]): IDBKeyRange =>
  IDBKeyRange.bound([...start, Number.NEGATIVE_INFINITY], [...start, HIGHEST]);

const ofGrading = <T>(table: IDBObjectStore | undefined, grading: GradingId): Promise<T[]> =>
  answer((table as IDBObjectStore).index("grading").getAll(grading));

/** Writes a pass anew as it is changed; nothing where there is none. */
async function change(
  passes: IDBObjectStore,
  grading: GradingId,
  changed: (pass: Pass) => Pass,
): Promise<void> {
  const pass: Pass | undefined = await answer(passes.get(grading));
  if (pass) passes.put(changed(pass));
}

/** Adds what is new, and says of the rest why not. */
async function addRows(
  rows: IDBObjectStore,
  grading: GradingId,
  entries: readonly AnyEntry[],
): Promise<Appended> {
  const result: Appended = { added: [], known: [], refused: [] };
  const [sameId, sameNumber] = await Promise.all([
    Promise.all(entries.map(({ id }) => answer<Row | undefined>(rows.index("id").get(id)))),
    Promise.all(
      entries.map(({ device, n }) =>
        answer(rows.index("[grading+device+n]").getKey([grading, device, n])),
      ),
    ),
  ]);
  const held = new Map(sameId.flatMap((row) => (row ? [[row.id, row.entry] as const] : [])));
  const taken = new Set<string>();
  const added: { entry: AnyEntry; place: Promise<IDBValidKey> }[] = [];
  for (const [index, entry] of entries.entries()) {
    const { id, device, n } = entry;
    const seen = held.get(id);
    if (seen) {
      if (canonicalize(seen) === canonicalize(entry)) result.known.push(id);
      else result.refused.push({ id, fault: { code: "ID_REUSED", with: { id } } });
    } else if (sameNumber[index] !== undefined || taken.has(`${device} ${n}`)) {
      result.refused.push({ id, fault: { code: "N_REUSED", with: { device, n } } });
    } else {
      held.set(id, entry);
      taken.add(`${device} ${n}`);
      added.push({ entry, place: answer(rows.add(rowOf(grading, entry))) });
    }
  }
  result.added = await Promise.all(
    added.map(async ({ entry, place }) => ({ entry, seq: (await place) as number, chain: "" })),
  );
  return result;
}

/**
 * A tap's own way to the disk: its requests are made before anything else runs, so that the disk works while the screen is drawn.
 * Nothing is read first; the indexes refuse what is here already.
 */
async function keepAtOnce(
  database: IDBDatabase,
  grading: GradingId,
  entries: readonly AnyEntry[],
  sides: readonly SideRecord[],
): Promise<void> {
  const writing = strict(database, ["rows", "outbox", "sides"], "readwrite");
  const committed = done(writing);
  committed.catch(() => undefined);
  try {
    const rows = writing.objectStore("rows");
    const outbox = writing.objectStore("outbox");
    const sideIds = sides.map(({ id }) => id);
    for (const entry of entries) {
      rows.add(rowOf(grading, entry));
      outbox.add({ id: entry.id, grading, n: entry.n, sides: sideIds } satisfies Unsent);
    }
    for (const record of sides) writing.objectStore("sides").put(record);
  } catch (error) {
    undo(writing);
    throw error;
  }
  await committed;
}

const rowOf = (grading: GradingId, entry: AnyEntry): Row => {
  const { id, device, n, lamport } = entry;
  return { id, grading, device, n, lamport, entry };
};

function asFault(error: unknown): unknown {
  if (error instanceof FaultError) return error;
  const { name, message } = error as { name?: string; message?: string };
  // A number or an id that is taken: another tab of this device wrote first, and nothing of the batch was written.
  if (name === "ConstraintError") return new FaultError({ code: "N_REUSED" }, { cause: error });
  const code: FaultCode =
    name === "QuotaExceededError"
      ? "STORE_FULL"
      : isConnectionLost(error)
        ? "STORE_LOST"
        : "STORE_CLOSED";
  return new FaultError({ code, with: { reason: String(message ?? error) } }, { cause: error });
}
