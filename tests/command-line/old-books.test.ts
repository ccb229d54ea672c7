import { createHash } from "node:crypto";
import { copyFileSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { aFolder, run } from "./run.ts";

/*
 * Books, and what was reported of them, as the program of 2026-11-28 (commit 48ac036) wrote them, before there were rules to tell apart:
 * six simulated days with cut lines, late marks and conflicts, the invented test, and a hub's folder of the same day.
 */
const books = fileURLToPath(new URL("../reference/old-books", import.meta.url));
const days = readdirSync(books).filter((name) => name.endsWith(".report.txt"));
const reported = async (file: string): Promise<string> =>
  `${(await run(books, ["report", file, "--json"])).out}\n`;

describe("a book of the first rules", () => {
  it.each(days)("[S39] is reported byte for byte as it was: %s", async (name) => {
    expect(await reported(name.replace("report.txt", "rules-1.json"))).toBe(
      readFileSync(join(books, name), "utf8"),
    );
  });

  it("[S39] is reported as it was, the whole invented test too", async () => {
    const said = await reported("finished-test.rules-1.json");
    expect(createHash("sha256").update(said).digest("hex")).toBe(
      "ab03dfe77be08d16eaf0f7c660d455add0dbf87f0b353c9e0c137f5416128209",
    );
  });

  it("[S39] in a hub's folder from before is opened, is sound, and says the same", async () => {
    const data = aFolder();
    copyFileSync(join(books, "store.rules-1.sqlite"), join(data, "evenhand.sqlite"));
    expect((await run(data, ["verify", "--data", data])).code).toBe(0);
    expect((await run(data, ["export", "--data", data, "--out", "again.json"])).code).toBe(0);
    expect(await reported(join(data, "again.json"))).toBe(
      readFileSync(join(books, "day-3.report.txt"), "utf8"),
    );
  });
});
