import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "libsql";
import { afterEach, beforeEach, expect, it } from "vitest";
import type { GradingId } from "../../../src/book/identity.ts";
import { openSqliteScorebook } from "../../../src/hub/store/sqlite-scorebook.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { TitlePages } from "../../../src/hub/test-room/title-pages.ts";
import type { ScorebookStore } from "../../../src/ports/scorebook-store.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-titles-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));
const gradings = Array.from({ length: 5 }, (_, at) => `grading-${at}` as GradingId);

async function filled(store: ScorebookStore): Promise<ScorebookStore> {
  for (const grading of gradings) {
    const day = aTestDay({ grading });
    const marks = day.judges.map(({ pen }) => aMark(pen));
    await store.append(grading, [...day.plan, ...marks]);
  }
  return store;
}

it("[L66] the list is the same whether a store finds it or every book is read, and no book is opened for it", async () => {
  const file = join(folder, "evenhand.sqlite");
  const store = await filled(openSqliteScorebook(file, testBooks));
  let opened = 0;
  const watched: ScorebookStore = {
    ...store,
    read: (...given) => {
      opened++;
      return store.read(...given);
    },
  };
  const list = await new TitlePages(watched).of(gradings);
  expect(opened).toBe(0);
  expect(list).toEqual(await new TitlePages(await filled(openMemoryScorebook())).of(gradings));
  expect(list[0]).toMatchObject({ title: "Summer belt test", state: "running" });
  await store.close();
});

it("[L66] a store from before is listed likewise", async () => {
  const file = join(folder, "evenhand.sqlite");
  const store = await filled(openSqliteScorebook(file, testBooks));
  const before = await new TitlePages(store).of(gradings);
  await store.close();
  const database = new Database(file);
  database.exec("DROP INDEX title_lines");
  database.close();
  const again = openSqliteScorebook(file, testBooks);
  expect(await new TitlePages(again).of(gradings)).toEqual(before);
  await again.close();
});
