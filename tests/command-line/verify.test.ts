import { join } from "node:path";
import Database from "libsql";
import { beforeEach, describe, expect, it } from "vitest";
import { entryDigest, nextLink } from "../../src/hub/storage/chain.ts";
import { aHubFolder } from "./a-hub-folder.ts";
import { aFolder, run } from "./run.ts";

let folder: string;
let entries: number;

beforeEach(async () => {
  ({ folder, entries } = await aHubFolder());
});

/** Somebody with the file in their hands: the guards that keep entries are taken off first. */
function tampers(sql: string): void {
  const database = new Database(join(folder, "evenhand-data", "evenhand.sqlite"));
  database.exec(
    `DROP TRIGGER entries_are_never_changed; DROP TRIGGER entries_are_never_removed; ${sql}`,
  );
  database.close();
}
const verified = async (...args: string[]) => {
  const { code, out } = await run(folder, ["verify", "--json", ...args]);
  return { code, ...JSON.parse(out) };
};

describe("verify", () => {
  it("[L12] finds a record sound that nobody touched", async () => {
    const { code, out } = await run(folder, ["verify"]);
    expect(code).toBe(0);
    expect(out).toContain(`grading-1: sound, ${entries} entries`);
    const { sound, tests } = await verified();
    expect(sound).toBe(true);
    expect(tests).toEqual([
      {
        test: "grading-1",
        entries,
        head: expect.stringMatching(/^[0-9a-f]{64}$/),
        sound: true,
        broken: null,
        named: expect.any(Number),
        gone: expect.any(Number),
      },
    ]);
  });

  it.each([
    [
      "a changed entry",
      "UPDATE entries SET body = replace(body, '\"lamport\":', '\"lamport\":1') WHERE seq = 4",
      4,
      "body",
    ],
    ["an entry taken out", "DELETE FROM entries WHERE seq = 3", 4, "missing"],
    [
      "an entry under another number",
      "UPDATE entries SET n = n + 1000 WHERE seq = 5",
      5,
      "columns",
    ],
    ["a changed link", "UPDATE entries SET chain = salt || salt WHERE seq = 2", 2, "link"],
  ])("[L12] names the first entry that is broken: %s", async (_what, sql, seq, why) => {
    tampers(sql);
    const { code, sound, tests } = await verified();
    expect([code, sound]).toEqual([1, false]);
    expect(tests[0].broken).toMatchObject({ seq, why });
    expect((await run(folder, ["verify"])).out).toContain(`BROKEN at entry ${seq} of `);
  });

  it("[L12] tells by a head noted earlier that all was rewritten to its end", async () => {
    const { tests } = await verified();
    const { head } = tests[0];
    expect(await verified("--head", head)).toMatchObject({
      code: 0,
      tests: [{ headFoundAfter: entries }],
    });
    rewriteFrom(entries - 2);
    expect(await verified()).toMatchObject({ code: 0, sound: true });
    const { code, out } = await run(folder, ["verify", "--head", head]);
    expect(code).toBe(1);
    expect(out).toContain("No test here ever had the head you noted");
  });

  it("says what is wrong with how it is asked", async () => {
    expect((await run(folder, ["verify", "--head", "abc"])).err).toContain("is no head");
    expect((await run(folder, ["verify", "other"])).err).toContain("There are: grading-1");
    expect(await run(aFolder(), ["verify"])).toMatchObject({ code: 2 });
  });
});

/** Changes an entry and everything that hangs on it, as somebody would who knows how the chain is made. */
function rewriteFrom(seq: number): void {
  tampers("SELECT 1");
  const database = new Database(join(folder, "evenhand-data", "evenhand.sqlite"));
  const rows = database
    .prepare("SELECT seq, body, salt, chain FROM entries ORDER BY seq")
    .all() as { seq: number; body: string; salt: string; chain: string }[];
  const change = database.prepare(
    "UPDATE entries SET body = ?, digest = ?, chain = ? WHERE seq = ?",
  );
  let before = rows[seq - 2]?.chain ?? "";
  for (const { seq: at, body, salt } of rows.slice(seq - 1)) {
    const lie = at === seq ? body.replace(/"at":\d+/, '"at":1') : body;
    const digest = entryDigest(salt, lie);
    before = nextLink(before, digest);
    change.run(lie, digest, before, at);
  }
  database.close();
}
