import { randomBytes } from "node:crypto";
import type pg from "pg";
import type { AnyEntry } from "../../book/entry.ts";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { EntryId, GradingId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import type { Appended, ScorebookStore } from "../../ports/scorebook-store.ts";
import { canonicalText, entryDigest, FIRST_LINK, nextLink } from "./chain.ts";
import type { PostgresDatabase } from "./postgres-database.ts";
import { forbidden, unsweptTable } from "./postgres-sweeper.ts";
import { aboutIn, readSide } from "./read-side.ts";
import { soundLines, testDamaged } from "./sound-lines.ts";
import type { StoredBooks } from "./stored-books.ts";
import type { ChainRow } from "./verify-chain.ts";

const isErasedLine = `strpos(body, '"kind":"erased"') > 0`;
/** Of all books the entries that a list of them is made of. */
const isTitleLine = ({ titleKinds }: StoredBooks): string =>
  titleKinds.map((kind) => `strpos(body, '"kind":"${kind}"') > 0`).join(" OR ");

/**
 * Entries are written once; only `sides` may be erased. A body is text, byte for byte what its digest was made of: jsonb would reorder it.
 * Places are numbered in each grading by itself, under that grading's lock, so that they have no gap and appear in their order.
 */
export const scorebookTables = (books: StoredBooks): string[] => [
  `CREATE TABLE IF NOT EXISTS entries (
    grading text COLLATE "C" NOT NULL,
    seq integer NOT NULL,
    id text COLLATE "C" NOT NULL,
    device text COLLATE "C" NOT NULL,
    n bigint NOT NULL,
    body text NOT NULL,
    salt text NOT NULL,
    digest text NOT NULL,
    chain text NOT NULL,
    PRIMARY KEY (grading, seq),
    UNIQUE (grading, id),
    UNIQUE (grading, device, n)
  )`,
  `CREATE OR REPLACE FUNCTION entries_stay() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'entries are never changed and never removed'; END $$`,
  `CREATE OR REPLACE TRIGGER entries_are_never_changed BEFORE UPDATE OR DELETE ON entries
    FOR EACH ROW EXECUTE FUNCTION entries_stay()`,
  `CREATE OR REPLACE TRIGGER entries_are_never_emptied BEFORE TRUNCATE ON entries
    FOR EACH STATEMENT EXECUTE FUNCTION entries_stay()`,
  `CREATE TABLE IF NOT EXISTS sides (
    grading text COLLATE "C" NOT NULL,
    id text COLLATE "C" NOT NULL,
    about text COLLATE "C" NOT NULL,
    record text NOT NULL,
    PRIMARY KEY (grading, id)
  )`,
  `CREATE INDEX IF NOT EXISTS title_lines ON entries (grading, seq) WHERE ${isTitleLine(books)}`,
  `CREATE INDEX IF NOT EXISTS erased_lines ON entries (grading, seq) WHERE ${isErasedLine}`,
  // What is known of a column's usual values is kept beside the table, and would keep names.
  "ALTER TABLE sides ALTER COLUMN record SET STATISTICS 0",
  unsweptTable,
];

const SALT_BYTES = 16;
const UNIQUE_VIOLATION = "23505";

/** One grading's lock until the end of the transaction. Two gradings whose names hash alike only wait for each other. */
const LOCK = "pg_advisory_xact_lock(hashtextextended($1, 0))";
const INSERT = {
  name: "insert-entries",
  // Side records and entries in one statement: one round trip, one commit.
  text: `WITH held AS MATERIALIZED (SELECT ${LOCK}),
    noted AS (
      INSERT INTO sides (grading, id, about, record)
      SELECT $1, id, about, record FROM unnest($9::text[], $10::text[], $11::text[]) AS side (id, about, record)
      ON CONFLICT DO NOTHING RETURNING 1
    ),
    put AS (
      INSERT INTO entries (grading, seq, id, device, n, body, salt, digest, chain)
      SELECT $1, row.* FROM held,
        unnest($2::int[], $3::text[], $4::text[], $5::bigint[], $6::text[], $7::text[], $8::text[], $12::text[])
          AS row (seq, id, device, n, body, salt, digest, chain)
      -- Nothing is ever put after a line that is not there, such as one that a restored database has lost.
      WHERE $13 = 0 OR EXISTS (SELECT FROM entries WHERE grading = $1 AND seq = $13 AND chain = $14)
      RETURNING 1
    )
    SELECT (SELECT count(*)::int FROM put) AS put,
      (SELECT count(*)::int FROM noted) + (SELECT count(*)::int FROM sides WHERE grading = $1 AND id = ANY($9)) AS named`,
};
const HEAD = {
  name: "head",
  text: "SELECT seq, chain FROM entries WHERE grading = $1 ORDER BY seq DESC LIMIT 1",
};
const LINK = {
  name: "link-at",
  text: "SELECT chain FROM entries WHERE grading = $1 AND seq = $2",
};
const AFTER = {
  name: "entries-after",
  text: `SELECT seq, id, device, n::float8 AS n, body, salt, digest, chain,
      (SELECT chain FROM entries WHERE grading = $1 AND seq = $2) AS before
    FROM entries WHERE grading = $1 AND seq > $2 ORDER BY seq LIMIT $3`,
};
const SIDES = {
  name: "sides",
  text: "SELECT id, record FROM sides WHERE grading = $1 ORDER BY id",
};
const CLASHES = {
  name: "clashes",
  text: `SELECT id, device, n::text, body FROM entries WHERE grading = $1 AND id = ANY($2::text[])
    UNION ALL
    SELECT id, device, n::text, body FROM entries
    WHERE grading = $1 AND (device, n) IN (SELECT * FROM unnest($3::text[], $4::bigint[]))`,
};
const ABOUT = "SELECT id, about, record FROM sides WHERE grading = $1";
const ERASE = `WITH gone AS (DELETE FROM sides WHERE grading = $1 AND id = ANY($2::text[]) RETURNING 1),
    noted AS (INSERT INTO unswept (name) SELECT 'sides' FROM gone LIMIT 1)
  SELECT count(*)::int AS gone FROM gone`;
/** Places have no gap, so the last one is the count; jumps from grading to grading instead of reading every entry. */
const COUNTS = `WITH RECURSIVE one AS (
    (SELECT grading FROM entries ORDER BY grading LIMIT 1)
    UNION ALL
    SELECT (SELECT grading FROM entries WHERE grading > one.grading ORDER BY grading LIMIT 1)
    FROM one WHERE one.grading IS NOT NULL
  )
  SELECT grading, (SELECT max(seq) FROM entries WHERE entries.grading = one.grading) AS entries
  FROM one WHERE grading IS NOT NULL`;

type Head = { seq: number; chain: string };
type Querying = Pick<pg.Pool, "query">;
interface Row extends StoredEntry {
  body: string;
  salt: string;
  digest: string;
}

/**
 * The scorebooks of one or several hubs in one PostgreSQL database. `close` closes it.
 * @param onFailed  told when a book ends before the line up to which it was read: an older copy was put in the database's place; or when nothing is kept of what is written
 */
export function postgresScorebook(
  database: PostgresDatabase,
  books: StoredBooks,
  onFailed: (fault: Fault) => void = () => undefined,
): ScorebookStore {
  /** Where each book ended when this process last looked. It may have gone on since; it never went back. */
  const heads = new Map<GradingId, Head>();

  async function insert(
    via: Querying,
    grading: GradingId,
    head: Head,
    rows: readonly Row[],
    sides: readonly SideRecord[],
  ): Promise<boolean> {
    const { rows: answer } = await via.query<{ put: number; named: number }>(INSERT, [
      grading,
      rows.map(({ seq }) => seq),
      rows.map(({ entry }) => entry.id),
      rows.map(({ entry }) => entry.device),
      rows.map(({ entry }) => entry.n),
      rows.map(({ body }) => body),
      rows.map(({ salt }) => salt),
      rows.map(({ digest }) => digest),
      sides.map(({ id }) => id),
      sides.map(({ about }) => about),
      sides.map((side) => canonicalText(side)),
      rows.map(({ chain }) => chain),
      head.seq,
      head.chain,
    ]);
    const { put = 0, named = 0 } = answer[0] ?? {};
    if (put === 0 && rows.length > 0) return false;
    const ids = [...new Set(sides.map(({ id }) => id))];
    const isAllNamed = named >= ids.length || (await countSides(via, grading, ids)) === ids.length;
    if (put < rows.length || !isAllNamed) throw notWritten();
    return true;
  }
  /** Somebody else's trigger, put there since this hub was started: nothing may be acknowledged, and no start is let pass. */
  function notWritten(): FaultError {
    const detail = "what was written is not there afterwards";
    const fault: Fault = { code: "STORE_DAMAGED", with: { file: database.name, detail } };
    onFailed(fault);
    return new FaultError(fault);
  }

  /** Somebody else was there first, or an entry was sent before: looks closely, under the grading's lock. */
  async function appendLocked(...given: Parameters<ScorebookStore["append"]>): Promise<Appended> {
    const [grading, offered, offeredSides = [], read] = given;
    return database.inTransaction(async (client) => {
      await client.query(`SELECT ${LOCK}`, [grading]);
      const head = await readHead(client, grading);
      if (read) await mustBeRead(client, grading, read.place, read.link);
      let decided = { entries: offered, sides: offeredSides };
      if (read && head.seq > read.place) {
        const lines = await readAfter(client, grading, read.place);
        const place = read.place + lines.length;
        // Nobody decides by a book of which the end cannot be read.
        if (place < head.seq) throw testDamaged(grading, place + 1);
        decided = { ...read.decideAgain(lines, await readSides(client, grading)) };
      }
      const sorted = await sort(client, grading, decided.entries);
      const rows = chained(sorted.fresh, head);
      if (!(await insert(client, grading, head, rows, decided.sides))) throw notWritten();
      return { added: rows.map(asStored), known: sorted.known, refused: sorted.refused };
    });
  }

  /** @param link  of the line up to which the book was read here. @throws FaultError STORE_LOST where there is another, or none */
  async function mustBeRead(
    via: Querying,
    grading: GradingId,
    place: number,
    link: string | undefined,
  ): Promise<void> {
    if (place === 0) return;
    const { rows } = await via.query<{ chain: string }>(LINK, [grading, place]);
    const [found] = rows;
    if (found && (link === undefined || found.chain === link)) return;
    const detail = found
      ? `line ${place} of a book is another`
      : `a book of ${place} entries ends before that`;
    const where = { file: database.name, detail };
    onFailed({ code: "STORE_PUT_BACK", with: where });
    throw new FaultError({ code: "STORE_LOST", with: where });
  }

  /** One that is not what it was is named when its test is opened. */
  const linesThat = (which: string): Promise<AnyEntry[]> =>
    database.guarded(async () => {
      const { rows } = await database.pool.query<ChainRow>(
        `SELECT body, salt, digest FROM entries WHERE ${which} ORDER BY grading, seq`,
      );
      return rows.flatMap(({ body, salt, digest }): AnyEntry[] =>
        entryDigest(salt, body) === digest ? [JSON.parse(body) as AnyEntry] : [],
      );
    });

  return {
    append: (grading, entries, sides = [], read = undefined) =>
      database.guarded(async () => {
        const before = heads.get(grading);
        const isUpToDate = before && (read === undefined || read.place === before.seq);
        if (isUpToDate && entries.length > 0) {
          const rows = chained(entries, before);
          try {
            if (await insert(database.pool, grading, before, rows, sides)) {
              noteHead(heads, grading, rows.at(-1));
              return { added: rows.map(asStored), known: [], refused: [] };
            }
            heads.delete(grading);
          } catch (error) {
            if ((error as { code?: string }).code !== UNIQUE_VIOLATION) throw error;
          }
        }
        const appended = await appendLocked(grading, entries, sides, read);
        noteHead(heads, grading, appended.added.at(-1));
        return appended;
      }),
    read: (grading, since, limit) =>
      database.guarded(async () => {
        const read = heads.get(grading);
        // Whoever was asleep meanwhile may find a book that has gone past its place by another way.
        const link = read?.seq === since ? read.chain : undefined;
        await mustBeRead(database.pool, grading, since, link);
        const lines = await readAfter(database.pool, grading, since, limit);
        noteHead(heads, grading, lines.at(-1));
        return lines;
      }),
    sides: (grading) => database.guarded(() => readSides(database.pool, grading)),
    erase: async (grading, about, misfiled = []) => {
      const gone = await database.inTransaction(async (client) => {
        const { rows } = await client.query<{ id: string; about: string; record: string }>(ABOUT, [
          grading,
        ]);
        // What the record itself says, as everybody reads it; the column beside it only where that cannot be read.
        const its = rows.filter((row) => (aboutIn(row.record) ?? row.about) === about);
        const ids = [...its.map(({ id }) => id), ...misfiled];
        const { rows: counted } = await client.query<{ gone: number }>(ERASE, [grading, ids]);
        return counted[0]?.gone ?? 0;
      });
      if (gone > 0) database.sweeper.soon();
      return gone;
    },
    unswept: async () =>
      (await database.sweeper.now()) === "forbidden" ? forbidden(database.name) : undefined,
    gradings: () =>
      database.guarded(async () => {
        const { rows } = await database.pool.query<{ grading: GradingId; entries: number }>(COUNTS);
        return rows;
      }),
    titleLines: () => linesThat(isTitleLine(books)),
    erasedLines: async () =>
      (await linesThat(isErasedLine)).filter(({ kind }) => kind === "erased"),
    close: () => database.close(),
  };
}

function noteHead(
  heads: Map<GradingId, Head>,
  grading: GradingId,
  head: StoredEntry | undefined,
): void {
  if (head && head.seq > (heads.get(grading)?.seq ?? 0))
    heads.set(grading, { seq: head.seq, chain: head.chain });
}

const asStored = ({ entry, seq, chain }: Row): StoredEntry => ({ entry, seq, chain });

/** Each entry's place and link after `head`. */
function chained(entries: readonly AnyEntry[], head: Head): Row[] {
  let { seq, chain } = head;
  const salts = randomBytes(SALT_BYTES * entries.length).toString("hex");
  return entries.map((entry, index) => {
    const body = canonicalText(entry);
    const salt = salts.slice(index * SALT_BYTES * 2, (index + 1) * SALT_BYTES * 2);
    const digest = entryDigest(salt, body);
    seq++;
    chain = nextLink(chain, digest);
    return { entry, seq, chain, body, salt, digest };
  });
}

/** How many of these are there, whoever wrote them in the same moment. */
async function countSides(
  via: Querying,
  grading: GradingId,
  ids: readonly string[],
): Promise<number> {
  const { rows } = await via.query<{ count: number }>(
    "SELECT count(*)::int AS count FROM sides WHERE grading = $1 AND id = ANY($2::text[])",
    [grading, ids],
  );
  return rows[0]?.count ?? 0;
}

async function readHead(via: Querying, grading: GradingId): Promise<Head> {
  const { rows } = await via.query<Head>(HEAD, [grading]);
  return rows[0] ?? { seq: 0, chain: FIRST_LINK };
}
async function readAfter(
  via: Querying,
  grading: GradingId,
  since: number,
  limit: number | null = null,
): Promise<StoredEntry[]> {
  const { rows } = await via.query<ChainRow & { before: string | null }>(AFTER, [
    grading,
    since,
    limit,
  ]);
  return soundLines(grading, since, rows[0]?.before ?? undefined, rows);
}
async function readSides(via: Querying, grading: GradingId): Promise<SideRecord[]> {
  const { rows } = await via.query<{ id: string; record: string }>(SIDES, [grading]);
  return rows.map(({ id, record }) => readSide(grading, id, record));
}

/** Which entries are new, which are here already, and which cannot stand beside what is here. */
async function sort(
  via: Querying,
  grading: GradingId,
  entries: readonly AnyEntry[],
): Promise<{ fresh: AnyEntry[]; known: EntryId[]; refused: Appended["refused"] }> {
  const { rows } = await via.query<{ id: string; device: string; n: string; body: string }>(
    CLASHES,
    [
      grading,
      entries.map(({ id }) => id),
      entries.map(({ device }) => device),
      entries.map(({ n }) => n),
    ],
  );
  const bodies = new Map(rows.map(({ id, body }) => [id, body]));
  const places = new Set(rows.map(({ device, n }) => `${device}/${n}`));
  const fresh: AnyEntry[] = [];
  const known: EntryId[] = [];
  const refused: Appended["refused"] = [];
  for (const entry of entries) {
    const { id, device, n } = entry;
    const body = canonicalText(entry);
    const seen = bodies.get(id);
    if (seen === body) known.push(id);
    else if (seen !== undefined) refused.push({ id, fault: { code: "ID_REUSED", with: { id } } });
    else if (places.has(`${device}/${n}`))
      refused.push({ id, fault: { code: "N_REUSED", with: { device, n } } });
    else {
      fresh.push(entry);
      bodies.set(id, body);
      places.add(`${device}/${n}`);
    }
  }
  return { fresh, known, refused };
}
