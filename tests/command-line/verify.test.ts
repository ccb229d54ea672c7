import { writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "libsql";
import { beforeEach, describe, expect, it } from "vitest";
import type { SignedHead } from "../../src/book/signed-head.ts";
import { startHub } from "../../src/hub/main.ts";
import { entryDigest, nextLink } from "../../src/hub/store/chain.ts";
import { aGradingId } from "../builders/a-pen.ts";
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
        gone: 0,
        sides: [],
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

  // It said “written”, ended with 0, and `report` refused the file: “export it again”, which gave the same again.
  it.each([
    [
      "a changed entry",
      "UPDATE entries SET body = replace(body, '\"lamport\":', '\"lamport\":1') WHERE seq = 4",
      "BROKEN at entry 4 of ",
    ],
    ["nothing", "", ""],
    [
      "a changed name",
      'UPDATE sides SET record = replace(record, \'"body":{\', \'"body":{"more":1,\') WHERE id = (SELECT min(id) FROM sides)',
      "names and texts beside them are NOT as they",
    ],
  ])(
    "[L121] is what export says too where a record is not as it was written, and it ends with 1: %s",
    async (_what, sql, says) => {
      tampers(sql);
      const verify = await run(folder, ["verify"]);
      const { code, err } = await run(folder, ["export", "--out", "copy.json"]);
      expect([code, verify.code]).toEqual(says ? [1, 1] : [0, 0]);
      expect(err).toContain("written to");
      expect(err).toContain(says);
      const [first = ""] = verify.out.split("\n");
      if (says) expect(err).toContain(first);
      else expect(err).not.toContain(first);
    },
  );

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

  describe("beside what a tablet kept", () => {
    /** A hub at work on the folder for a moment signs where its chain stands; a tablet saves that. */
    async function aTabletSaves(name: string, seq = entries): Promise<SignedHead> {
      const hub = await startHub({
        port: 0,
        host: "127.0.0.1",
        dataFolder: join(folder, "evenhand-data"),
      });
      const room = await hub.rooms.room(aGradingId);
      const chain = seq === room.last?.seq ? room.last.chain : "0".repeat(64);
      const head = await hub.desk.signedHead(aGradingId, seq, chain);
      await hub.close();
      if (!head) throw new Error("a hub without a key");
      writeFileSync(join(folder, name), JSON.stringify({ heads: [head] }));
      return head;
    }

    it("[L19] finds the record as the tablet had it, and rewritten when it was", async () => {
      await aTabletSaves("tablet.json");
      expect(await verified("--heads", "tablet.json")).toMatchObject({
        code: 0,
        heads: [{ seq: entries, result: "on-the-chain" }],
      });
      rewriteFrom(entries - 2);
      expect(await verified()).toMatchObject({ code: 0, sound: true });
      expect(await verified("--heads", "tablet.json")).toMatchObject({
        code: 1,
        sound: false,
        heads: [{ result: "rewritten" }],
      });
      const { out } = await run(folder, ["verify", "--heads", "tablet.json"]);
      expect(out).toContain(`NOT as the tablet had it after ${entries} entries`);
    });

    it("[L19] takes no signature that is not good, nor another hub's for its own", async () => {
      const head = await aTabletSaves("tablet.json");
      writeFileSync(
        join(folder, "forged.json"),
        JSON.stringify({ heads: [{ ...head, seq: head.seq - 1 }] }),
      );
      expect(await verified("--heads", "forged.json")).toMatchObject({
        code: 1,
        heads: [{ result: "forged" }],
      });
      const elsewhere = "ab".repeat(32);
      expect(await verified("--heads", "tablet.json", "--fingerprint", elsewhere)).toMatchObject({
        code: 1,
        heads: [{ result: "other-hub" }],
      });
    });

    it("says when the file is none, or has no head in it", async () => {
      writeFileSync(join(folder, "none.json"), "{}");
      expect((await run(folder, ["verify", "--heads", "none.json"])).err).toContain(
        "no signed head",
      );
      expect((await run(folder, ["verify", "--heads", "missing.json"])).code).toBe(2);
    });
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
