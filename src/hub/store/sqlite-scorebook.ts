import { randomBytes } from "node:crypto";
import type { AnyEntry } from "../../book/entry.ts";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { EntryId, GradingId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import type { Appended, ReadUpTo, ScorebookStore } from "../../ports/scorebook-store.ts";
import { canonicalText, entryDigest, FIRST_LINK, nextLink } from "./chain.ts";
import { type HubDatabase, openDatabase } from "./open-database.ts";
import { makeOwn } from "./own-schema.ts";
import { readSide } from "./read-side.ts";
import { SameFile } from "./same-file.ts";
import { soundLines, testDamaged } from "./sound-lines.ts";
import { SqliteSweeper } from "./sqlite-sweeper.ts";
import { isErasedLine, isTitleLine, scorebookTables } from "./sqlite-tables.ts";
import { asBytes, asText } from "./sqlite-text.ts";
import { withStoreFaults } from "./store-faults.ts";
import type { StoredBooks } from "./stored-books.ts";
import { inTransaction } from "./transaction.ts";
import type { ChainRow } from "./verify-chain.ts";
import { whenFree } from "./when-free.ts";

const SALT_BYTES = 16;
const unreadable = (file: string): Fault => ({
  code: "STORE_DAMAGED",
  with: { file, detail: "the name of a belt test in it is no text" },
});

/** The hub's scorebooks in one SQLite file. */
export function openSqliteScorebook(path: string, books: StoredBooks): ScorebookStore {
  return sqliteScorebook(openDatabase(path), path, books);
}

/**
 * The same on a database that is open already. `close` closes it.
 * @param onFailed  told when the file is damaged, or is not at its place any more: whoever has it open cannot go on.
 */
export function sqliteScorebook(
  database: HubDatabase,
  path: string,
  books: StoredBooks,
  onFailed: (fault: Fault) => void = () => undefined,
  sweeper = new SqliteSweeper(database, path),
  file = new SameFile(path),
  free = whenFree(path),
): ScorebookStore {
  withStoreFaults(path, () => makeOwn(database, path, books, scorebookTables(books)));
  const head = database.prepare(
    `SELECT seq, ${asBytes(["chain"])} FROM entries WHERE grading = ? ORDER BY seq DESC LIMIT 1`,
  );
  const byId = database.prepare(
    `SELECT ${asBytes(["body"])} FROM entries WHERE grading = ? AND id = ?`,
  );
  const insert = database.prepare(
    "INSERT INTO entries (grading, seq, id, device, n, body, salt, digest, chain) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
  );
  const insertSide = database.prepare(
    "INSERT INTO sides (grading, id, record) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
  );
  const after = database.prepare(
    `SELECT seq, n, ${asBytes(["id", "device", "body", "salt", "digest", "chain"])}
      FROM entries WHERE grading = ? AND seq > ? ORDER BY seq LIMIT ?`,
  );
  const linesIn = (index: string, which: string) =>
    database.prepare(
      `SELECT ${asBytes(["body", "salt", "digest"])} FROM entries INDEXED BY ${index}
        WHERE ${which} ORDER BY entries.grading, entries.seq`,
    );
  const titles = linesIn("title_lines", isTitleLine(books));
  const erasedLines = linesIn("erased_lines", isErasedLine);
  const linkOf = database.prepare(
    `SELECT ${asBytes(["chain"])} FROM entries WHERE grading = ? AND seq = ?`,
  );
  const allSides = database.prepare(
    `SELECT ${asBytes(["id", "record"])} FROM sides WHERE grading = ? ORDER BY sides.id`,
  );
  const removeSides = database.prepare(
    // One that is damaged says of nobody whom it is about; it goes by its id, with those that are filed wrongly.
    `DELETE FROM sides WHERE grading = ?
      AND CASE WHEN json_valid(record) THEN json_extract(record, '$.about') END = ?`,
  );
  const removeSide = database.prepare("DELETE FROM sides WHERE grading = ? AND id = ?");
  // Ordered by place too, so that it is looked up in the table itself: an index may lie.
  const nextGrading = database.prepare(
    `SELECT ${asBytes(["grading"])}, seq FROM entries WHERE grading > ?
      ORDER BY entries.grading, entries.seq LIMIT 1`,
  );
  let isOpen = true;

  function headOf(grading: GradingId): { seq: number; chain: string } | undefined {
    const last = head.get(grading);
    return last ? asText<{ seq: number; chain: string }>(last) : undefined;
  }
  function write(
    grading: GradingId,
    offered: readonly AnyEntry[],
    offeredSides: readonly SideRecord[],
    read: ReadUpTo | undefined,
  ): Appended {
    const last = headOf(grading);
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
      const held = byId.get(grading, id);
      const seen = held ? asText<{ body: string }>(held) : undefined;
      if (seen?.body === body) known.push(id);
      else if (seen) refused.push({ id, fault: { code: "ID_REUSED", with: { id } } });
      else refused.push({ id, fault: { code: "N_REUSED", with: { device, n } } });
    }
    for (const side of sides) insertSide.run(grading, side.id, canonicalText(side));
    return { added, known, refused };
  }

  function readAfter(grading: GradingId, since: number, limit = -1): StoredEntry[] {
    const rows = after.all(grading, since, limit).map((row) => asText<ChainRow>(row));
    const before = linkOf.get(grading, since);
    const link = before ? asText<{ chain: string }>(before).chain : undefined;
    const lines = soundLines(grading, since, link, rows);
    // Rows that cannot be found from before may be found from behind.
    const isAtEnd = lines.length === rows.length && (limit < 0 || rows.length < limit);
    const upTo = isAtEnd ? (headOf(grading)?.seq ?? 0) : 0;
    if (lines.length === 0 && upTo > since) throw testDamaged(grading, since + 1);
    return lines;
  }
  /** Nobody decides by a book of which the end cannot be read. */
  function wholeAfter(grading: GradingId, since: number, upTo: number): StoredEntry[] {
    const lines = readAfter(grading, since);
    if (since + lines.length < upTo) throw testDamaged(grading, since + lines.length + 1);
    return lines;
  }
  function readSides(grading: GradingId): SideRecord[] {
    const rows = allSides.all(grading).map((row) => asText<{ id: string; record: string }>(row));
    return rows.map(({ record, id }) => readSide(grading, id, record));
  }

  /** One that is not what it was is named when its test is opened. */
  const soundOf = (rows: readonly unknown[]): AnyEntry[] =>
    rows.flatMap((row): AnyEntry[] => {
      const { body, salt, digest } = asText<ChainRow>(row);
      return entryDigest(salt, body) === digest ? [JSON.parse(body) as AnyEntry] : [];
    });

  function atOnce<T>(work: () => T): T {
    // A prepared statement of libsql still runs after close; the store must not.
    if (!isOpen) throw new FaultError({ code: "STORE_CLOSED", with: { file: path } });
    try {
      const result = withStoreFaults(path, work);
      // After the commit and before anybody is told of it.
      file.mustBeThere();
      return result;
    } catch (error) {
      const fault = error instanceof FaultError ? error.fault : undefined;
      if (fault?.code === "STORE_DAMAGED" || fault?.code === "STORE_MOVED") onFailed(fault);
      throw error;
    }
  }
  const whileOpen = <T>(work: () => T): Promise<T> =>
    new Promise((resolve) => resolve(free(() => atOnce(work))));

  return {
    append: (grading, entries, sides = [], read = undefined) =>
      whileOpen(() => inTransaction(database, () => write(grading, entries, sides, read))),
    read: (grading, since, limit) => whileOpen(() => readAfter(grading, since, limit)),
    sides: (grading) => whileOpen(() => readSides(grading)),
    erase: (grading, about, misfiled = []) =>
      whileOpen(() => {
        const gone = inTransaction(database, () => {
          let { changes } = removeSides.run(grading, about);
          for (const id of misfiled) changes += removeSide.run(grading, id).changes;
          if (changes > 0) sweeper.note();
          return changes;
        });
        if (gone > 0) sweeper.soon();
        return gone;
      }),
    gradings: () =>
      whileOpen(() => {
        // Places have no gap, so the last one is the count; jumps from grading to grading instead of reading every entry.
        const found: { grading: GradingId; entries: number }[] = [];
        for (let last = ""; ; last = found.at(-1)?.grading ?? "") {
          const next = nextGrading.get(last);
          if (!next) return found;
          const { grading } = asText<{ grading: GradingId }>(next);
          // A name that is no text any more leads nowhere, and would be found for ever.
          if (grading <= last) throw new FaultError(unreadable(path));
          found.push({ grading, entries: headOf(grading)?.seq ?? 0 });
        }
      }),
    titleLines: () => whileOpen(() => soundOf(titles.all())),
    erasedLines: () =>
      whileOpen(() => soundOf(erasedLines.all()).filter(({ kind }) => kind === "erased")),
    async close() {
      if (!isOpen) return;
      isOpen = false;
      // A statement that waits to be collected keeps the log beside the file: nothing is left in it.
      sweeper.close();
      database.close();
    },
  };
}
