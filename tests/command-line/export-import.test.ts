import { mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { startHub } from "../../src/hub/main.ts";
import { openSqliteScorebook } from "../../src/hub/store/sqlite-scorebook.ts";
import { storeFile } from "../../src/hub/store/store-file.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aScorebookFile } from "./a-scorebook-file.ts";
import { aFolder, run } from "./run.ts";

describe("import and export", () => {
  it("a scorebook goes into a hub's store and comes out the same", async () => {
    const { file } = aScorebookFile();
    const folder = aFolder({ "book.json": file });
    const first = await run(folder, ["import", "book.json"]);
    expect(first).toMatchObject({ code: 0, err: "" });
    expect(first.out).toContain(`grading-1: ${file.entries.length} new entries`);
    const again = await run(folder, ["import", "book.json", "--json"]);
    expect(JSON.parse(again.out)).toEqual({
      grading: "grading-1",
      added: 0,
      known: file.entries.length,
      mended: 0,
      signed: false,
      heads: [],
    });
    const { code, err } = await run(folder, ["export", "--out", "copy.json"]);
    expect(code).toBe(0);
    expect(err).toContain("copy.json");
    expect(JSON.parse(readFileSync(join(folder, "copy.json"), "utf8"))).toEqual(file);
    const printed = await run(folder, ["export", "grading-1"]);
    expect(JSON.parse(printed.out)).toEqual(file);
  });

  it("takes nothing into the store of a running hub, and says what to do; reading it is no fault", async () => {
    const { file } = aScorebookFile();
    const folder = aFolder({ "book.json": file });
    expect((await run(folder, ["import", "book.json"])).code).toBe(0);
    const dataFolder = join(folder, "evenhand-data");
    const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder });
    const { code, err, out } = await run(folder, ["import", "book.json"]);
    expect([code, out]).toEqual([2, ""]);
    expect(err).toContain(`at work with the folder ${dataFolder}`);
    expect(err).toContain("Stop it first");
    expect((await run(folder, ["export"])).code).toBe(0);
    await hub.close();
    expect((await run(folder, ["import", "book.json"])).code).toBe(0);
  });

  it("[S213] says of a file without the hub's chain that nobody vouches for it", async () => {
    const { file } = aScorebookFile();
    const folder = aFolder({ "book.json": file });
    const { code, out } = await run(folder, ["import", "book.json"]);
    expect(code).toBe(0);
    expect(out).toContain("Nobody vouches for this file");
  });

  it("[L88] report says of a file without the hub's chain that nobody vouches for it, beside the data too", async () => {
    const { file } = aScorebookFile();
    const folder = aFolder({ "book.json": file, "own.json": { ...file, person: "judge-1" } });
    expect((await run(folder, ["report", "book.json"])).out).toContain("Nobody vouches");
    const { out, err } = await run(folder, ["report", "book.json", "--json"]);
    expect(err).toContain("Nobody vouches");
    expect(JSON.parse(out).candidates).toHaveLength(3);
    const own = (await run(folder, ["report", "own.json"])).out.replace(/\s+/g, " ");
    expect(own).toContain("is what one tablet says it holds, that of judge-1; no hub vouches");
  });

  it("never overwrites a file", async () => {
    const { file } = aScorebookFile();
    const folder = aFolder({ "book.json": file, "taken.json": "mine" });
    await run(folder, ["import", "book.json"]);
    const { code, err } = await run(folder, ["export", "--out", "taken.json"]);
    expect(code).toBe(2);
    expect(err).toContain("is not overwritten");
    expect(readFileSync(join(folder, "taken.json"), "utf8")).toBe("mine");
  });

  it("takes nothing of a file whose entries clash with the store's", async () => {
    const { file } = aScorebookFile();
    const changed = structuredClone(file);
    changed.entries[2].at += 1;
    changed.entries.push({
      ...file.entries[0],
      id: "00000000-0000-7000-8000-ffffffffffff",
      n: 900,
      device: "new-tablet",
    });
    const folder = aFolder({ "book.json": file, "changed.json": changed });
    await run(folder, ["import", "book.json"]);
    const { code, err } = await run(folder, ["import", "changed.json"]);
    expect(code).toBe(2);
    expect(err).toContain("changed.json, entries[2].id: another entry has the same id");
    expect(JSON.parse((await run(folder, ["export"])).out).entries).toHaveLength(
      file.entries.length,
    );
  });

  it("asks which test where there are several, and knows no other", async () => {
    const { file } = aScorebookFile();
    const other = JSON.parse(JSON.stringify(file).replaceAll("grading-1", "grading-2"));
    const folder = aFolder({ "book.json": file, "other.json": other });
    await run(folder, ["import", "book.json"]);
    await run(folder, ["import", "other.json"]);
    expect((await run(folder, ["export"])).err).toContain("grading-1, grading-2");
    expect((await run(folder, ["export", "grading-3"])).err).toContain("no belt test “grading-3”");
    expect((await run(folder, ["export", "grading-2"])).code).toBe(0);
  });

  it("says what is missing: a store, a test, a file", async () => {
    const folder = aFolder();
    expect(await run(folder, ["export"])).toMatchObject({
      code: 2,
      err: expect.stringContaining("no hub's store"),
    });
    const data = join(folder, "evenhand-data");
    mkdirSync(data);
    await openSqliteScorebook(storeFile(data), testBooks).close();
    expect((await run(folder, ["export"])).err).toContain("holds no belt test");
    expect((await run(folder, ["import"])).err).toContain("Give a scorebook file");
    expect((await run(folder, ["import", "none.json"])).err).toContain("cannot be read");
  });
});
