import { randomBytes } from "node:crypto";
import { type Fault, FaultError } from "../../core/faults.ts";
import type { EntryId, GradingId } from "../../core/identity.ts";
import type { AnyEntry } from "../../core/scorebook/entry.ts";
import type { SideRecord } from "../../core/scorebook/side-record.ts";
import { isTitleLine } from "../../core/scorebook/title-page.ts";
import type {
  Appended,
  ReadUpTo,
  ScorebookStore,
  StoredEntry,
} from "../../ports/scorebook-store.ts";
import { canonicalText, entryDigest, FIRST_LINK, nextLink } from "./chain.ts";
import { type HubDatabase, openDatabase, withStoreFaults } from "./open-database.ts";
import { readSide } from "./read-side.ts";
import { SameFile } from "./same-file.ts";
import { soundLines, testDamaged } from "./sound-lines.ts";
import { saysTitle } from "./title-kinds.ts";
import { inTransaction } from "./transaction.ts";
import type { ChainRow } from "./verify-chain.ts";

const isTitle = saysTitle("instr");

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
  CREATE INDEX IF NOT EXISTS entries_of_title ON entries (grading, seq) WHERE ${isTitle};
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

/**
 * The same on a database that is open already. `close` closes it.
 * @param onFailed  told when the file is damaged, or is not at its place any more: whoever has it open cannot go on.
 */
export function sqliteScorebook(
  database: HubDatabase,
  path: string,
  onFailed: (fault: Fault) => void = () => undefined,
): ScorebookStore {
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
    "SELECT seq, id, device, n, body, salt, digest, chain FROM entries WHERE grading = ? AND seq > ? ORDER BY seq LIMIT ?",
  );
  const linkOf = database.prepare("SELECT chain FROM entries WHERE grading = ? AND seq = ?");
  const allSides = database.prepare("SELECT id, record FROM sides WHERE grading = ? ORDER BY id");
  const removeSides = database.prepare(
    "DELETE FROM sides WHERE grading = ? AND json_extract(record, '$.about') = ?",
  );
  const removeSide = database.prepare("DELETE FROM sides WHERE grading = ? AND id = ?");
  // Places have no gap, so the last one is the count; jumps from grading to grading instead of reading every entry.
  const counts = database.prepare(`WITH RECURSIVE one (grading) AS (
      SELECT min(grading) FROM entries
      UNION ALL
      SELECT (SELECT min(grading) FROM entries WHERE grading > one.grading)
      FROM one WHERE one.grading IS NOT NULL
    )
    SELECT grading, (SELECT max(seq) FROM entries WHERE entries.grading = one.grading) AS entries
    FROM one WHERE grading IS NOT NULL`);
  const ofTitle = database.prepare(
    `SELECT body FROM entries INDEXED BY entries_of_title WHERE grading = ? AND (${isTitle}) ORDER BY seq`,
  );
  const file = new SameFile(path);
  let isOpen = true;

  function write(
    grading: GradingId,
    offered: readonly AnyEntry[],
    offeredSides: readonly SideRecord[],
    read: ReadUpTo | undefined,
  ): Appended {
    const last = head.get(grading) as { seq: number; chain: string } | undefined;
    // Nothing is put after a line that is not what it was.
    if (read?.link !== undefined && last?.seq === read.place && last.chain !== read.link)
      throw testDamaged(grading, last.seq);
    if (read && (last?.seq ?? 0) < read.place) throw testDamaged(grading, (last?.seq ?? 0) + 1);
    const { entries, sides } =
      read && (last?.seq ?? 0) > read.place
        ? read.decideAgain(wholeAfter(grading, read.place, last?.seq ?? 0), readSides(grading))
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
    const rows = after.all(grading, since, limit) as ChainRow[];
    const before = linkOf.get(grading, since) as { chain: string } | undefined;
    return soundLines(grading, since, before?.chain, rows);
  }
  /** Nobody decides by a book of which the end cannot be read. */
  function wholeAfter(grading: GradingId, since: number, upTo: number): StoredEntry[] {
    const lines = readAfter(grading, since);
    if (since + lines.length < upTo) throw testDamaged(grading, since + lines.length + 1);
    return lines;
  }
  function readSides(grading: GradingId): SideRecord[] {
    const rows = allSides.all(grading) as { id: string; record: string }[];
    return rows.map(({ record, id }) => readSide(grading, id, record));
  }

  function whileOpen<T>(work: () => T): Promise<T> {
    return new Promise((resolve) => {
      // A prepared statement of libsql still runs after close; the store must not.
      if (!isOpen) throw new FaultError({ code: "STORE_CLOSED", with: { file: path } });
      try {
        const result = withStoreFaults(path, work);
        // After the commit and before anybody is told of it.
        file.mustBeThere();
        resolve(result);
      } catch (error) {
        const fault = error instanceof FaultError ? error.fault : undefined;
        if (fault?.code === "STORE_DAMAGED" || fault?.code === "STORE_MOVED") onFailed(fault);
        throw error;
      }
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
    titleLines: (grading) =>
      whileOpen(() =>
        (ofTitle.all(grading) as { body: string }[])
          .map(({ body }) => JSON.parse(body) as AnyEntry)
          .filter(isTitleLine),
      ),
    async close() {
      if (!isOpen) return;
      isOpen = false;
      // A statement that waits to be collected keeps the log beside the file: nothing is left in it.
      try {
        database.pragma("wal_checkpoint(TRUNCATE)");
      } catch {
        // What cannot be written back stays in the log, and the next to open it finds it there.
      }
      database.close();
    },
  };
}
