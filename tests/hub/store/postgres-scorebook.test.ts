import { createHash } from "node:crypto";
import canonicalize from "canonicalize";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { GradingId, SideRecordId } from "../../../src/book/identity.ts";
import { openPostgres } from "../../../src/hub/store/postgres-database.ts";
import { postgresScorebook, scorebookTables } from "../../../src/hub/store/postgres-scorebook.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import type { ScorebookStore } from "../../../src/ports/scorebook-store.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aPostgresDatabase, runSql } from "../../builders/a-postgres-database.ts";
import { aMark } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { itKeepsTheScorebookContract } from "../../contracts/scorebook-store.contract.ts";
import { itKeepsTheSharedScorebookContract } from "../../contracts/shared-scorebook.contract.ts";

const putBack = vi.fn();
const open = async (url: string) =>
  postgresScorebook(await openPostgres(url, scorebookTables(testBooks)), testBooks, putBack);

describe("the PostgreSQL scorebook", () => {
  itKeepsTheScorebookContract(async () => open(await aPostgresDatabase()));
  itKeepsTheSharedScorebookContract(async () => open(await aPostgresDatabase()));
});

describe("the PostgreSQL scorebook on a table partitioned by test", () => {
  const partitioned = async () => {
    const url = await aPostgresDatabase();
    const [table = ""] = scorebookTables(testBooks);
    await runSql(url, `${table} PARTITION BY HASH (grading)`);
    for (const at of [0, 1, 2, 3])
      await runSql(
        url,
        `CREATE TABLE entries_${at} PARTITION OF entries FOR VALUES WITH (MODULUS 4, REMAINDER ${at})`,
      );
    return open(url);
  };
  itKeepsTheSharedScorebookContract(partitioned);
});

describe("several processes on one PostgreSQL", () => {
  let url = "";
  let here: ScorebookStore;
  let there: ScorebookStore;
  beforeEach(async () => {
    url = await aPostgresDatabase();
    // Both make the tables, in the same moment.
    [here, there] = await Promise.all([open(url), open(url)]);
  });
  afterEach(() => Promise.all([here.close(), there.close()]));

  it("[L129] write beside each other also where the database is set to another isolation", async () => {
    await runSql(
      url,
      `ALTER DATABASE ${new URL(url).pathname.slice(1)} SET default_transaction_isolation = 'serializable'`,
    );
    const strict = [await open(url), await open(url)];
    const pens = Array.from({ length: 6 }, (_, index) => aPen(`judge-${index}`));
    const writing = pens.map(async (pen, index) => {
      for (let batch = 0; batch < 15; batch++)
        await strict[index % 2]?.append(aGradingId, [aMark(pen), aMark(pen)]);
    });
    const ended = await Promise.allSettled(writing);
    await Promise.all(strict.map((store) => store.close()));
    expect(ended.map(({ status }) => status)).toEqual(pens.map(() => "fulfilled"));
    expect(await here.read(aGradingId, 0)).toHaveLength(180);
  });

  it("[L1] count 1, 2, 3 … together, without a gap, a double or a line out of its order", async () => {
    const seen: number[] = [];
    let isDone = false;
    const reader = (async () => {
      // Somebody who reads on meanwhile never finds a line before one it has read.
      while (!isDone) {
        const lines = await there.read(aGradingId, seen.at(-1) ?? 0);
        seen.push(...lines.map(({ seq }) => seq));
      }
    })();
    const pens = Array.from({ length: 6 }, (_, index) => aPen(`judge-${index}`));
    const added = await Promise.all(
      pens.map(async (pen, index) => {
        const store = index % 2 === 0 ? here : there;
        const places: number[] = [];
        for (let batch = 0; batch < 15; batch++) {
          const answer = await store.append(aGradingId, [aMark(pen), aMark(pen)]);
          places.push(...answer.added.map(({ seq }) => seq));
        }
        return places;
      }),
    );
    const all = Array.from({ length: 180 }, (_, index) => index + 1);
    expect(added.flat().toSorted((a, b) => a - b)).toEqual(all);
    while (seen.length < all.length) await new Promise((done) => setTimeout(done, 5));
    isDone = true;
    await reader;
    expect(seen).toEqual(all);
    const lines = await here.read(aGradingId, 0);
    expect(await there.read(aGradingId, 0)).toEqual(lines);
    expect(await isSound(url)).toBe(true);
  });

  it("[L2] take an entry that both were sent once", async () => {
    const pen = aPen("judge-1");
    const own = Array.from({ length: 20 }, () => aMark(pen));
    const answers = await Promise.all(
      [here, there].flatMap((store) => own.map((entry) => store.append(aGradingId, [entry]))),
    );
    const added = answers.flatMap((answer) => answer.added.map(({ entry }) => entry.id));
    const known = answers.flatMap((answer) => answer.known);
    expect(added.toSorted()).toEqual(own.map(({ id }) => id).toSorted());
    expect(known.toSorted()).toEqual(added.toSorted());
  });

  it("[L16] never starve a writer: whoever must decide again writes in the same turn", async () => {
    const [busy, slow] = [aPen("judge-1"), aPen("judge-2")];
    await there.append(aGradingId, [aMark(slow)]);
    let isDone = false;
    const writing = (async () => {
      while (!isDone) await here.append(aGradingId, [aMark(busy)]);
    })();
    let asked = 0;
    for (let place = 1, turn = 0; turn < 10; turn++) {
      const mine = aMark(slow);
      const { added } = await there.append(aGradingId, [mine], [], {
        place,
        decideAgain(_lines, sides) {
          asked++;
          return { entries: [mine], sides };
        },
      });
      expect(added.length).toBe(1);
      place = added[0]?.seq ?? 0;
      await new Promise((done) => setTimeout(done, 10));
    }
    isDone = true;
    await writing;
    expect(asked).toBeGreaterThan(0);
  });
});

describe("the PostgreSQL database", () => {
  let url = "";
  let book: ScorebookStore;
  beforeEach(async () => {
    url = await aPostgresDatabase();
    book = await open(url);
  });
  afterEach(() => book.close());

  it("[L1] counts 1, 2, 3 … in each grading by itself", async () => {
    const other = "grading-2" as GradingId;
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen), aMark(pen)]);
    await book.append(other, [aMark(aPen("judge-1", "judge-1-tablet", other))]);
    await book.append(aGradingId, [aMark(pen)]);
    expect((await book.read(aGradingId, 0)).map(({ seq }) => seq)).toEqual([1, 2, 3]);
    expect((await book.read(other, 0)).map(({ seq }) => seq)).toEqual([1]);
  });

  it("[L8] waits for the disk before it acknowledges, even on a server that does not", async () => {
    const name = new URL(url).pathname.slice(1);
    await runSql(url, `ALTER DATABASE ${name} SET synchronous_commit = off`);
    const database = await openPostgres(url, scorebookTables(testBooks));
    const { rows } = await database.pool.query("SHOW synchronous_commit");
    await database.close();
    expect(rows).toEqual([{ synchronous_commit: "on" }]);
    expect(await runSql(url, "SHOW synchronous_commit")).toEqual([{ synchronous_commit: "off" }]);
  });

  it("[L8] reads the same after it was closed and opened again, chain and all", async () => {
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen), aMark(pen)]);
    const before = await book.read(aGradingId, 0);
    await book.close();
    book = await open(url);
    expect(await book.read(aGradingId, 0)).toEqual(before);
    expect((await book.append(aGradingId, [aMark(pen)])).added[0]?.seq).toBe(3);
  });

  it("[L9] keeps the canonical text byte for byte, so that anybody can check the chain", async () => {
    const pen = aPen("judge-1");
    // Keys out of order, a number jsonb would rewrite, and what text in a database dislikes.
    const odd = { ...aMark(pen), kind: "of-next-year", body: { z: 1e21, a: "\u0000 é \ud800" } };
    await book.append(aGradingId, [aMark(pen), odd, aMark(pen)]);
    expect((await book.read(aGradingId, 1, 1))[0]?.entry).toEqual(odd);
    const [row] = await runSql(url, "SELECT body FROM entries WHERE seq = 2");
    expect(row?.body).toBe(canonicalize(odd));
    expect(await isSound(url)).toBe(true);
  });

  it("[L10] lets nobody change, remove or empty the entries, not even by hand", async () => {
    await book.append(aGradingId, [aMark(aPen("judge-1"))]);
    for (const statement of [
      "UPDATE entries SET body = '{}'",
      "DELETE FROM entries",
      "TRUNCATE entries",
    ])
      await expect(runSql(url, statement)).rejects.toThrow(/never changed and never removed/);
  });

  it("[L10] works for somebody who may only add entries, so that not even a hub could change one", async () => {
    await book.append(aGradingId, [aMark(aPen("judge-1"))]);
    const { pathname } = new URL(url);
    const role = `hall_${pathname.slice(-6)}`;
    await runSql(
      url,
      `CREATE ROLE ${role} LOGIN PASSWORD 'hall'; GRANT SELECT, INSERT ON entries TO ${role}; GRANT SELECT, INSERT, DELETE ON sides TO ${role}`,
    );
    const address = new URL(url);
    [address.username, address.password] = [role, "hall"];
    const hall = await open(address.href);
    expect((await hall.append(aGradingId, [aMark(aPen("judge-2"))])).added[0]?.seq).toBe(2);
    await hall.close();
    for (const statement of ["UPDATE entries SET body = '{}'", "DELETE FROM entries"])
      await expect(runSql(address.href, statement)).rejects.toThrow(/permission denied/);
    await expect(
      runSql(address.href, "DROP TRIGGER entries_are_never_changed ON entries"),
    ).rejects.toThrow(/must be owner/);
  });

  it("[L11] says in a word why a database cannot be used, and never prints a password", async () => {
    const wrong = (change: (address: URL) => void) => {
      const address = new URL(url);
      change(address);
      return openPostgres(address.href, scorebookTables(testBooks)).then(
        () => "opened",
        (error: Error) => error.message,
      );
    };
    const secret = "topsecret";
    const asked = {
      password: await wrong((address) => (address.password = secret)),
      database: await wrong((address) => (address.pathname = "/nowhere")),
      refused: await wrong((address) => (address.port = "1")),
      host: await wrong((address) => (address.hostname = "no-such-host.invalid")),
    };
    for (const [why, said] of Object.entries(asked)) {
      expect(said).toMatch(/^STORE_UNREACHABLE/);
      expect(said).toContain(`"why":"${why}"`);
      expect(said).not.toMatch(/topsecret|only-for-tests/);
    }
    await book.close();
    await expect(book.read(aGradingId, 0)).rejects.toThrow(/STORE_CLOSED/);
  });

  it("[L11] puts nothing after a line that the database has lost", async () => {
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen), aMark(pen)]);
    const asleep = await open(url);
    await asleep.read(aGradingId, 0);
    // As after somebody put back yesterday's copy.
    await runSql(
      url,
      "ALTER TABLE entries DISABLE TRIGGER USER; DELETE FROM entries WHERE seq = 2; ALTER TABLE entries ENABLE TRIGGER USER",
    );
    const decideAgain = () => ({ entries: [], sides: [] });
    await expect(
      book.append(aGradingId, [aMark(pen)], [], { place: 2, decideAgain }),
    ).rejects.toThrow(/STORE_LOST/);
    await expect(book.read(aGradingId, 2)).rejects.toThrow(/STORE_LOST/);
    expect(putBack).toHaveBeenCalledTimes(2);
    // Somebody else goes on past the place up to which this one had read.
    const other = await open(url);
    await other.append(aGradingId, [aMark(aPen("judge-2")), aMark(aPen("judge-3"))]);
    await expect(asleep.read(aGradingId, 2)).rejects.toThrow(/STORE_LOST/);
    expect(putBack).toHaveBeenCalledTimes(3);
    await Promise.all([other.close(), asleep.close()]);
    expect((await book.append(aGradingId, [aMark(pen)])).added[0]?.seq).toBe(4);
    expect(await isSound(url)).toBe(true);
  });

  it("[L124] erases by what the record says, whatever stands in the column beside it", async () => {
    const side = (about: string, given: string) => ({
      id: `side-${about}` as SideRecordId,
      grading: aGradingId,
      about: about,
      kind: "candidate" as const,
      salt: "0".repeat(32),
      body: { given },
    });
    const [ada, bo] = [side("candidate-1", "Ada"), side("candidate-2", "Bo")];
    await book.append(aGradingId, [aMark(aPen("judge-1"))], [ada, bo]);
    await runSql(
      url,
      `UPDATE sides SET about = 'nandidate-1' WHERE id = 'side-candidate-1';
       UPDATE sides SET about = 'candidate-1' WHERE id = 'side-candidate-2'`,
    );
    expect(await book.erase(aGradingId, "candidate-1")).toBe(1);
    expect(await book.sides(aGradingId)).toEqual([bo]);
    // One that cannot be read any more goes by the column.
    await runSql(url, "UPDATE sides SET record = 'Bo', about = 'candidate-2'");
    expect(await book.erase(aGradingId, "candidate-2")).toBe(1);
    expect(await runSql(url, "SELECT * FROM sides")).toEqual([]);
  });

  const side = {
    id: "side-1" as SideRecordId,
    grading: aGradingId,
    about: anId("candidate-1"),
    kind: "candidate" as const,
    salt: "0".repeat(32),
    body: { given: "Ada" },
  };
  it.each(["entries", "sides"])(
    "[L126] acknowledges nothing of which nothing was written (%s), and says so",
    async (table) => {
      const pen = aPen("judge-1");
      await book.append(aGradingId, [aMark(pen)]);
      await runSql(
        url,
        `CREATE FUNCTION drops() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NULL; END $$;
         CREATE TRIGGER evil BEFORE INSERT ON ${table} FOR EACH ROW EXECUTE FUNCTION drops()`,
      );
      putBack.mockClear();
      await expect(book.append(aGradingId, [aMark(pen)], [side])).rejects.toThrow(/STORE_DAMAGED/);
      expect(putBack).toHaveBeenCalledWith(expect.objectContaining({ code: "STORE_DAMAGED" }));
    },
  );

  it("[L7] keeps a side record once that comes again with another entry", async () => {
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen)], [side]);
    const again = aMark(pen);
    await book.append(aGradingId, [again], [side]);
    expect(await book.sides(aGradingId)).toEqual([side]);
  });
});

/** Checked with SHA-256 and RFC 8785 alone, as somebody would who does not trust us. */
async function isSound(url: string): Promise<boolean> {
  const rows = await runSql(url, "SELECT seq, body, salt, digest, chain FROM entries ORDER BY seq");
  const sha = (text: string) => createHash("sha256").update(text).digest("hex");
  let link = "0".repeat(64);
  return rows.every(({ seq, body, salt, digest, chain }, index) => {
    link = sha(link + sha(`${salt}${body}`));
    const isCanonical = canonicalize(JSON.parse(String(body))) === body;
    return seq === index + 1 && isCanonical && sha(`${salt}${body}`) === digest && chain === link;
  });
}
