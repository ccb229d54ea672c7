import pg from "pg";
import type { Fault } from "../../book/faults.ts";
import { SWEPT, type Swept } from "./swept.ts";

type SweptTable = (typeof SWEPT)[number];

/** Notes that bytes wait to be swept: written in the transaction that erases, so that a hub that is killed leaves word. */
export const unsweptTable =
  "CREATE TABLE IF NOT EXISTS unswept (id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, name text NOT NULL)";

/** Any number that nobody else locks: one process at a time sweeps. */
const SWEEP_LOCK = 7_205_119_413;
/** Whoever waits for a whole table makes everybody behind wait too: not for longer than this. */
const LOCK_WITHIN_MS = 500;
/** @see PostgreSQL manual, appendix A, error codes */
const NO_RIGHT = "42501";
const AGAIN_AFTER_MS = 5_000;
const LOOK_EVERY_MS = 15_000;
/** Why the bytes stay where this user may not take them off the disk. */
export const forbidden = (store: string): Fault => ({
  code: "ERASED_WAITS",
  with: {
    detail: `${store} its owner has to run: VACUUM FULL sides, devices; DELETE FROM unswept`,
  },
});

/**
 * Takes the bytes of erased rows off the disk. PostgreSQL only marks a row as removed, and plain VACUUM leaves its bytes where nothing came to lie over them
 * (of 60 single rows 4); VACUUM FULL writes the table anew, and everybody who writes waits so long (8 ms for 3,200 records, 0.6 s for 320,000).
 */
export class PostgresSweeper {
  readonly #settings: pg.ClientConfig;
  #running: Promise<Swept> | undefined;
  /** Not begun yet. */
  #next: Promise<Swept> | undefined;
  #timer: NodeJS.Timeout | undefined;
  #watching: NodeJS.Timeout | undefined;
  #isClosed = false;
  #onForbidden: (() => void) | undefined;

  constructor(settings: pg.ClientConfig) {
    this.#settings = {
      ...settings,
      query_timeout: 0,
      options: `${settings.options ?? ""} -c lock_timeout=${LOCK_WITHIN_MS}`,
    };
  }

  /** Sweeps what waits, and goes on trying while somebody still reads it. Never throws, and nobody has to wait for it. */
  soon(): void {
    void this.now().then((swept) => {
      if (swept === "forbidden") {
        this.#onForbidden?.();
        this.#onForbidden = undefined;
      }
      if (swept !== "waiting" || this.#isClosed) return;
      clearTimeout(this.#timer);
      this.#timer = setTimeout(() => this.soon(), AGAIN_AFTER_MS);
      this.#timer.unref();
    });
  }
  /** Tries once. Whoever asks while a try is under way gets the one that follows, which sees every note. */
  now(): Promise<Swept> {
    this.#next ??= (this.#running ?? Promise.resolve())
      .then(() => {
        this.#running = this.#next;
        this.#next = undefined;
        return this.#sweep();
      })
      .catch(
        (error: { code?: string }): Swept => (error.code === NO_RIGHT ? "forbidden" : "waiting"),
      );
    return this.#next;
  }
  /** Looks now and then for what another process left: one that goes away between the erasing and the sweeping leaves word, and nobody else hears of it. @param onForbidden  told once where this user may not sweep */
  watch(everyMs = LOOK_EVERY_MS, onForbidden: () => void = () => undefined): void {
    this.#onForbidden = onForbidden;
    this.soon();
    this.#watching = setInterval(() => this.soon(), everyMs);
    this.#watching.unref();
  }
  async close(): Promise<void> {
    this.#isClosed = true;
    clearInterval(this.#watching);
    clearTimeout(this.#timer);
    await this.#next;
    await this.#running;
  }

  async #sweep(): Promise<Swept> {
    if (this.#isClosed) return "waiting";
    const client = new pg.Client(this.#settings);
    client.on("error", () => undefined);
    try {
      await client.connect();
      const { rows: notes } = await client.query<{ id: string; name: string }>(
        "SELECT id, name FROM unswept",
      );
      if (notes.length === 0) return "done";
      const { rows: lock } = await client.query<{ isMine: boolean }>(
        `SELECT pg_try_advisory_lock(${SWEEP_LOCK}) AS "isMine"`,
      );
      if (!lock[0]?.isMine) return "waiting";
      for (const table of SWEPT) {
        const its = notes.filter(({ name }) => name === table).map(({ id }) => id);
        if (its.length === 0) continue;
        const left = await deadRows(client, table);
        if (left === undefined) return "forbidden";
        if (left > 0) return "waiting";
        await client.query("DELETE FROM unswept WHERE id = ANY($1::bigint[])", [its]);
      }
      return "done";
    } finally {
      await client.end().catch(() => undefined);
    }
  }
}

/** Writes a table anew. @returns how many removed rows had to be written too, since somebody still sees them; undefined where this user may not. */
async function deadRows(client: pg.Client, table: SweptTable): Promise<number | undefined> {
  let left: number | undefined;
  const listen = ({ detail }: { detail?: string | undefined }) => {
    // “0 dead row versions cannot be removed yet.”, in whatever language the server speaks; no detail where it only warns.
    const [figure] = /\d+/.exec(detail ?? "") ?? [];
    if (figure !== undefined) left = Number(figure);
  };
  client.on("notice", listen);
  await client.query(`VACUUM (FULL, VERBOSE) ${table}`);
  client.off("notice", listen);
  return left;
}
