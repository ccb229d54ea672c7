import { randomBytes } from "node:crypto";
import { type Fault, FaultError } from "../../core/faults.ts";
import type { EntryId, GradingId } from "../../core/identity.ts";
import type { AnyEntry } from "../../core/scorebook/entry.ts";
import type { SideRecord } from "../../core/scorebook/side-record.ts";
import type {
  Appended,
  ReadUpTo,
  ScorebookStore,
  StoredEntry,
} from "../../ports/scorebook-store.ts";
import { canonicalText, entryDigest, FIRST_LINK, nextLink } from "./chain.ts";
import { type HubDatabase, openDatabase, withStoreFaults } from "./open-database.ts";
import { inTransaction } from "./transaction.ts";

/** Entries are written once. Only `sides` may be erased; the chain does not cover them. */
const tables = `
  CREATE TABLE IF NOT EXISTS entries (
    grading TEXT NOT NULL,
    seq INTEGER NOT NULL,
    id TEXT NOT NULL,
    device TEXT NOT NULL,
    n INTEGER NOT NULL,
    body TEXT NOT NULL,
    salt TEXT NOT NULL,
    digest TEXT NOT NULL,
    chain TEXT NOT NULL,
    PRIMARY KEY (grading, seq),
    UNIQUE (grading, id),
    UNIQUE (grading, device, n)
  ) WITHOUT ROWID;
  CREATE TRIGGER IF NOT EXISTS entries_are_never_changed BEFORE UPDATE ON entries
    BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
  CREATE TRIGGER IF NOT EXISTS entries_are_never_removed BEFORE DELETE ON entries
    BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
  CREATE TABLE IF NOT EXISTS sides (
    grading TEXT NOT NULL,
    id TEXT NOT NULL,
    record TEXT NOT NULL,
    PRIMARY KEY (grading, id)
  ) WITHOUT ROWID;
`;

const SALT_BYTES = 16;

/** The hub's scorebooks in one SQLite file. */
export function openSqliteScorebook(path: string): ScorebookStore {
  return sqliteScorebook(openDatabase(path), path);
}

/** The same on a database that is open already. `close` closes it. */
export function sqliteScorebook(database: HubDatabase, path: string): ScorebookStore {
  withStoreFaults(path, () => database.exec(tables));
  const head = database.prepare(
    "SELECT seq, chain FROM entries WHERE grading = ? ORDER BY seq DESC LIMIT 1",
  );
  const byId = database.prepare("SELECT body FROM entries WHERE grading = ? AND id = ?");
  const insert = database.prepare(
    "INSERT INTO entries (grading, seq, id, device, n, body, salt, digest, chain) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
  );
  const insertSide = database.prepare(
    "INSERT INTO sides (grading, id, record) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
  );
  const after = database.prepare(
    "SELECT seq, body, chain FROM entries WHERE grading = ? AND seq > ? ORDER BY seq LIMIT ?",
  );
  const allSides = database.prepare("SELECT record FROM sides WHERE grading = ? ORDER BY id");
  const removeSides = database.prepare(
    "DELETE FROM sides WHERE grading = ? AND json_extract(record, '$.about') = ?",
  );
  const removeSide = database.prepare("DELETE FROM sides WHERE grading = ? AND id = ?");
  const counts = database.prepare(
    "SELECT grading, COUNT(*) AS entries FROM entries GROUP BY grading ORDER BY grading",
  );
  let isOpen = true;

  function write(
    grading: GradingId,
    offered: readonly AnyEntry[],
    offeredSides: readonly SideRecord[],
    read: ReadUpTo | undefined,
  ): Appended {
    const last = head.get(grading) as { seq: number; chain: string } | undefined;
    const { entries, sides } =
      read && (last?.seq ?? 0) > read.place
        ? read.decideAgain(readAfter(grading, read.place), readSides(grading))
        : { entries: offered, sides: offeredSides };
    let seq = last?.seq ?? 0;
    let chain = last?.chain ?? FIRST_LINK;
    const added: StoredEntry[] = [];
    const known: EntryId[] = [];
    const refused: { id: EntryId; fault: Fault }[] = [];
    const salts = randomBytes(SALT_BYTES * entries.length).toString("hex");
    for (const [index, entry] of entries.entries()) {
      const { id, device, n } = entry;
      const body = canonicalText(entry);
      const salt = salts.slice(index * SALT_BYTES * 2, (index + 1) * SALT_BYTES * 2);
      const digest = entryDigest(salt, body);
      const link = nextLink(chain, digest);
      // Nearly every entry is new, so it is tried first and looked up only when it is not.
      const { changes } = insert.run(grading, seq + 1, id, device, n, body, salt, digest, link);
      if (changes > 0) {
        seq++;
        chain = link;
        added.push({ entry, seq, chain });
        continue;
      }
      const seen = byId.get(grading, id) as { body: string } | undefined;
      if (seen?.body === body) known.push(id);
      else if (seen) refused.push({ id, fault: { code: "ID_REUSED", with: { id } } });
      else refused.push({ id, fault: { code: "N_REUSED", with: { device, n } } });
    }
    for (const side of sides) insertSide.run(grading, side.id, canonicalText(side));
    return { added, known, refused };
  }

  function readAfter(grading: GradingId, since: number, limit = -1): StoredEntry[] {
    const rows = after.all(grading, since, limit) as { seq: number; body: string; chain: string }[];
    return rows.map(({ seq, body, chain }) => ({
      entry: JSON.parse(body) as AnyEntry,
      seq,
      chain,
    }));
  }
  function readSides(grading: GradingId): SideRecord[] {
    const rows = allSides.all(grading) as { record: string }[];
    return rows.map(({ record }) => JSON.parse(record) as SideRecord);
  }

  function whileOpen<T>(work: () => T): Promise<T> {
    return new Promise((resolve) => {
      // A prepared statement of libsql still runs after close; the store must not.
      if (!isOpen) throw new FaultError({ code: "STORE_CLOSED", with: { file: path } });
      resolve(withStoreFaults(path, work));
    });
  }

  return {
    append: (grading, entries, sides = [], read = undefined) =>
      whileOpen(() => inTransaction(database, () => write(grading, entries, sides, read))),
    read: (grading, since, limit) => whileOpen(() => readAfter(grading, since, limit)),
    sides: (grading) => whileOpen(() => readSides(grading)),
    erase: (grading, about, misfiled = []) =>
      whileOpen(() => {
        let { changes } = removeSides.run(grading, about);
        for (const id of misfiled) changes += removeSide.run(grading, id).changes;
        // Deleted rows are overwritten (`secure_delete`); the log still holds them until it is written back and emptied.
        if (changes > 0) database.pragma("wal_checkpoint(TRUNCATE)");
        return changes;
      }),
    gradings: () =>
      whileOpen(() =>
        (counts.all() as { grading: GradingId; entries: number }[]).map(({ grading, entries }) => ({
          grading,
          entries,
        })),
      ),
    async close() {
      if (!isOpen) return;
      isOpen = false;
      database.close();
    },
  };
}
