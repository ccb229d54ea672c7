import { readFileSync } from "node:fs";
import { join } from "node:path";
import Database from "libsql";
import { beforeEach, expect, it } from "vitest";
import { wayForward } from "../../src/command-line/way-forward.ts";
import { startHub } from "../../src/hub/main.ts";
import { storeHomeAt } from "../../src/hub/store/open-store.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aHubFolder } from "./a-hub-folder.ts";
import { run } from "./run.ts";

let folder: string;
let entries: number;
const data = () => join(folder, "evenhand-data");

/** A hub that has been at work, and one letter of its key that is another now. */
beforeEach(async () => {
  ({ folder, entries } = await aHubFolder());
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder: data() });
  await hub.close();
});
function damages(which: "private-key" | "public-key"): void {
  const database = new Database(join(data(), "evenhand.sqlite"));
  const { value } = database.prepare("SELECT value FROM settings WHERE name = ?").get(which) as {
    value: string;
  };
  const lines = value.split("\n");
  const letter = lines[1]?.at(-6);
  lines[1] = `${lines[1]?.slice(0, -6)}${letter === "A" ? "B" : "A"}${lines[1]?.slice(-5)}`;
  database.prepare("UPDATE settings SET value = ? WHERE name = ?").run(lines.join("\n"), which);
  database.close();
}

it.each(["private-key", "public-key"] as const)(
  "[H155] with a damaged %s the marks can be taken out, into a new folder, and no copy with the same damage is offered",
  async (which) => {
    await run(folder, ["backup", "sound.sqlite"]);
    damages(which);
    await run(folder, [
      "backup",
      join("evenhand-data", "backups", "evenhand-20260606T100000000Z.sqlite"),
    ]);
    const home = storeHomeAt({ dataFolder: data() }, testBooks);
    const copies = join(data(), "backups");
    expect(await wayForward(home, copies, folder)).toMatch(/no copy that is sound/);
    const checked = await run(folder, ["verify"]);
    expect([checked.code, checked.out]).toEqual([1, expect.stringMatching(/own\s+key/)]);
    const taken = await run(folder, ["export", "--out", "out.json"]);
    expect([taken.code, taken.err]).toEqual([0, expect.stringMatching(/own\s+key/)]);
    const brought = await run(folder, ["import", "out.json", "--data", "new"]);
    expect(brought.code).toBe(0);
    const again = await run(folder, ["export", "--data", "new"]);
    expect(JSON.parse(again.out).entries).toHaveLength(entries);
    expect(JSON.parse(readFileSync(join(folder, "out.json"), "utf8")).heads ?? []).toEqual([]);
  },
);
