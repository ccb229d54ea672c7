import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Readable } from "node:stream";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { receiveCopy } from "../../../src/hub/copies/brought-back.ts";
import { FrontDesk } from "../../../src/hub/door/front-desk.ts";
import { backUp } from "../../../src/hub/store/backup.ts";
import { openForCommand } from "../../../src/hub/store/open-store.ts";
import { openSqliteScorebook } from "../../../src/hub/store/sqlite-scorebook.ts";
import { storeFile } from "../../../src/hub/store/store-file.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

let folder = "";
let copy: Buffer;
/** The same of a hub that has its keys. */
let withKeys: Buffer;
const { plan } = aTestDay();
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-brought-back-"));
  const there = mkdtempSync(join(tmpdir(), "evenhand-there-"));
  const store = openSqliteScorebook(join(there, "hub.sqlite"), testBooks);
  await store.append(aGradingId, plan);
  await store.close();
  backUp(join(there, "hub.sqlite"), join(there, "copy.sqlite"));
  copy = readFileSync(join(there, "copy.sqlite"));
  const opened = await openForCommand({ dataFolder: there }, testBooks, { makes: true });
  await opened?.store.append(aGradingId, plan);
  if (opened) await FrontDesk.open(opened.door, Date.now);
  await opened?.close();
  backUp(storeFile(there), join(there, "with-keys.sqlite"));
  withKeys = readFileSync(join(there, "with-keys.sqlite"));
  rmSync(there, { recursive: true });
});
afterEach(() => rmSync(folder, { recursive: true }));

const received = (...parts: Buffer[]) => receiveCopy(Readable.from(parts), folder);
const unsound = { fault: { code: "COPY_UNSOUND" } };

describe("a copy that is brought back", () => {
  it("[H55] lies in the folder, whole, and says how much it holds", async () => {
    const found = await received(copy.subarray(0, 5000), copy.subarray(5000));
    expect(found).toMatchObject({ tests: 1, entries: plan.length });
    expect(readFileSync(found.file).equals(copy)).toBe(true);
  });

  it("[H55] is refused where it is cut short, changed, empty or something else, and leaves nothing behind", async () => {
    const changed = Buffer.from(copy);
    const title = changed.indexOf("Summer belt test");
    expect(title).toBeGreaterThan(0);
    changed.write("Winter", title);
    for (const bad of [
      copy.subarray(0, copy.length / 2),
      changed,
      Buffer.alloc(0),
      Buffer.from("{}"),
    ])
      await expect(received(bad)).rejects.toMatchObject(unsound);
    expect(readdirSync(folder)).toEqual([]);
  });

  it("[H161] is refused where no hub could begin from it: its key is damaged or gone, its rows do not fit", async () => {
    const spoilt = (sql: string): Buffer => {
      const there = mkdtempSync(join(tmpdir(), "evenhand-spoilt-"));
      const file = join(there, "copy.sqlite");
      writeFileSync(file, withKeys);
      const database = new Database(file);
      database.exec(sql);
      database.close();
      const spoiltCopy = readFileSync(file);
      rmSync(there, { recursive: true });
      return spoiltCopy;
    };
    const { file } = await received(withKeys);
    rmSync(file);
    for (const bad of [
      spoilt("UPDATE settings SET value = replace(value, 'M', 'N') WHERE name = 'private-key'"),
      spoilt("DELETE FROM settings WHERE name = 'private-key'"),
      spoilt("UPDATE settings SET value = replace(value, 'M', 'N') WHERE name = 'public-key'"),
      spoilt(
        "DROP TABLE chiefs; CREATE TABLE chiefs (token_hash, device, person, since_ms); INSERT INTO chiefs VALUES (null, null, null, null)",
      ),
    ])
      await expect(received(bad)).rejects.toMatchObject(unsound);
    expect(readdirSync(folder)).toEqual([]);
  });

  it("[H161] touches nobody's folder beside it", async () => {
    mkdirSync(join(folder, "trial"));
    writeFileSync(join(folder, "trial", "evenhand.sqlite"), "a hub to practise with");
    const { file } = await received(withKeys);
    rmSync(file);
    expect(readdirSync(folder)).toEqual(["trial"]);
    expect(readdirSync(join(folder, "trial"))).toEqual(["evenhand.sqlite"]);
  });

  it("[H55] leaves nothing behind where its sender goes away", async () => {
    const cut = new Readable({ read() {} });
    cut.push(copy.subarray(0, 5000));
    const receiving = receiveCopy(cut, folder);
    setTimeout(() => cut.destroy(new Error("gone")), 50);
    await expect(receiving).rejects.toMatchObject(unsound);
    expect(existsSync(join(folder, "brought-back.sqlite"))).toBe(false);
  });
});
