import { expect, it, vi } from "vitest";
import type { GradingId } from "../../../src/book/identity.ts";
import { openPostgres } from "../../../src/hub/store/postgres-database.ts";
import { listenToPostgres } from "../../../src/hub/store/postgres-news.ts";
import { aPostgresDatabase, runSql } from "../../builders/a-postgres-database.ts";

it.each([
  "hello",
  '{"from":"other"}',
  '{"from":"other","news":[{"of":"tomorrow"}]}',
  '{"from":"other","news":[{"of":"entries","grading":7,"upTo":"x"}]}',
  "null",
])(
  "[L113] a word on the channel that no hub of today says is a doubt, and ends nobody: %s",
  async (word) => {
    const url = await aPostgresDatabase();
    const database = await openPostgres(url, []);
    const news = await listenToPostgres(database);
    const heard = vi.fn();
    news.onNews(heard);
    await runSql(url, `NOTIFY evenhand, '${word}'`);
    await vi.waitFor(() => expect(heard).toHaveBeenCalledWith({ of: "doubt" }), 5_000);
    const told = { of: "entries", grading: "g" as GradingId, upTo: 3 } as const;
    await runSql(url, `NOTIFY evenhand, '${JSON.stringify({ from: "other", news: [told] })}'`);
    await vi.waitFor(() => expect(heard).toHaveBeenCalledWith(told), 5_000);
    await news.close();
    await database.close();
  },
);
