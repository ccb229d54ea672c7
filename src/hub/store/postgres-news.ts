import { randomUUID } from "node:crypto";
import pg from "pg";
import * as z from "zod/mini";
import { News } from "../../line/hub-news.ts";
import type { StoreNews } from "../../ports/store-news.ts";
import type { PostgresDatabase } from "./postgres-database.ts";

const CHANNEL = "evenhand";
/** What the listening line is called in the list of the server's connections. */
const LISTENER = "evenhand-news";
const TRY_AGAIN_AFTER_MS = 500;
/** So often a listening line is asked whether it is still there; without an answer by the next time it is in doubt. */
const PROBE_EVERY_MS = 750;
/** No answer for so long, and the line is taken for broken. */
const SILENT_FOR_MS = 5_000;

/**
 * News by LISTEN and NOTIFY on a connection of its own. What is told in one turn goes in one statement, after the commit it speaks of:
 * a NOTIFY inside a writing transaction would make all commits of the database wait for each other.
 */
export async function listenToPostgres(database: PostgresDatabase): Promise<StoreNews> {
  const me = randomUUID();
  const listeners = new Set<(news: News) => void>();
  const hearers = new Set<(isHearing: boolean) => void>();
  let client: pg.Client | undefined;
  let isClosed = false;
  let again: NodeJS.Timeout | undefined;
  const waiting = new Map<string, News>();
  /** One statement at a time on the one line. */
  let sending: Promise<void> = Promise.resolve();

  async function listen(): Promise<void> {
    const fresh = new pg.Client({ ...database.settings, application_name: LISTENER });
    fresh.on("error", () => lose(fresh));
    fresh.on("end", () => lose(fresh));
    fresh.on("notification", ({ payload = "" }) => {
      for (const one of heard(payload, me)) for (const listener of listeners) listener(one);
    });
    try {
      await fresh.connect();
      await answered(fresh.query(`LISTEN ${CHANNEL}`));
    } catch (error) {
      void fresh.end().catch(() => undefined);
      throw error;
    }
    client = fresh;
    for (const hearer of hearers) hearer(true);
  }
  function lose(lost: pg.Client): void {
    if (client !== lost) return;
    client = undefined;
    for (const hearer of hearers) hearer(false);
    // Ending a broken line may throw once more; it is gone either way.
    void lost.end().catch(() => undefined);
    tryAgain();
  }
  function tryAgain(): void {
    if (isClosed) return;
    again = setTimeout(() => void listen().catch(tryAgain), TRY_AGAIN_AFTER_MS);
  }
  async function send(): Promise<void> {
    const news = [...waiting.values()];
    waiting.clear();
    for (const part of inPayloads(news)) {
      const payload = JSON.stringify({ from: me, news: part });
      if (client) await answered(client.query("SELECT pg_notify($1, $2)", [CHANNEL, payload]));
    }
  }

  await database.guarded(listen);
  let isAsking = false;
  const probe = setInterval(() => {
    if (isAsking) {
      for (const listener of listeners) listener({ of: "doubt" });
      return;
    }
    isAsking = true;
    sending = sending.then(async () => {
      const asked = client;
      if (asked) await answered(asked.query("SELECT 1")).catch(() => lose(asked));
      isAsking = false;
    });
  }, PROBE_EVERY_MS);
  probe.unref();

  return {
    tell(news) {
      if (waiting.size === 0)
        setImmediate(() => {
          // A line that broke says so itself.
          sending = sending.then(send).catch(() => undefined);
        });
      waiting.set(subjectOf(news), news);
    },
    onNews(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    get isHearing() {
      return client !== undefined;
    },
    onHearing(hearer) {
      hearers.add(hearer);
      return () => hearers.delete(hearer);
    },
    async close() {
      isClosed = true;
      clearTimeout(again);
      clearInterval(probe);
      // What was told a moment ago still goes out: a command tells one thing and ends.
      if (waiting.size > 0) await new Promise(setImmediate);
      await sending;
      const last = client;
      client = undefined;
      await last?.end().catch(() => undefined);
    },
  };
}

/** A payload may have 8,000 bytes. One piece of news has about 300, and less than half of it where it names all the stops it may. */
const PAYLOAD_BYTES = 7_500;
function inPayloads(news: readonly News[]): News[][] {
  const parts: News[][] = [];
  for (const one of news) {
    const last = [...(parts.at(-1) ?? []), one];
    if (parts.length > 0 && Buffer.byteLength(JSON.stringify(last)) <= PAYLOAD_BYTES)
      parts[parts.length - 1] = last;
    else parts.push([one]);
  }
  return parts;
}

const Payload = z.object({ from: z.string(), news: z.array(z.unknown()) });
/** Whoever may connect may speak on the channel, and a hub of another year in other words: what cannot be read is a doubt. */
function heard(payload: string, me: string): News[] {
  const doubt = { of: "doubt" } as const;
  try {
    const { from, news } = Payload.parse(JSON.parse(payload));
    if (from === me) return [];
    return news.map((one) => News.safeParse(one).data ?? doubt);
  } catch {
    return [doubt];
  }
}

/**
 * What a query answers, or a rejection after a while without one.
 * A process that was busy for longer comes to its timers before its sockets: what lies there by then is an answer.
 */
async function answered(query: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const silence = new Promise<never>((_, reject) => {
    timer = setTimeout(
      () => setImmediate(() => setImmediate(() => reject(new Error("no answer")))),
      SILENT_FOR_MS,
    );
  });
  try {
    await Promise.race([query, silence]);
  } finally {
    clearTimeout(timer);
  }
}

/** Of news on one subject only the newest goes out. */
function subjectOf(news: News): string {
  switch (news.of) {
    case "entries":
    case "plan":
    case "pace":
    case "who-is-here":
      return `${news.of}/${news.grading}`;
    // A stop takes the place of no other.
    case "floor":
      return `floor/${news.grading}/${news.floor.entry}`;
    case "door":
    case "door-question":
    case "door-answer":
      return `${news.of}/${news.grading}/${news.device}`;
    case "presence":
      return `presence/${news.grading}/${news.person.device}`;
    case "hubs":
    case "doubt":
    case "taken-away":
      return news.of;
  }
}
