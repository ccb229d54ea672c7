import type { Fault } from "../../book/faults.ts";
import { writeLogBack, writeLogBackForGood } from "./apart-mark.ts";
import { sweptIn, writeSwept } from "./log-round.ts";
import type { HubDatabase } from "./open-database.ts";
import { SWEPT, type Swept } from "./swept.ts";
import { inTransaction } from "./transaction.ts";

/**
 * While bytes of what was erased may still lie between the rows of the file, as in files of before; when none do; and while they lie in the log alone, for the
 * tables are written anew and somebody reads what was there before.
 */
const [UNSWEPT, CLEAN, IN_LOG] = [0, 1, 2];
/** Several are erased one after another; a hall at work does not wait for each. */
const SOON_MS = 500;
const AGAIN_AFTER_MS = 2_000;
/** So many tries in vain are told, one every two seconds. */
const TOLD_AFTER = 5;

interface Settings {
  isAlone?: boolean;
  onWaiting?: ((fault: Fault) => void) | undefined;
}

/**
 * Takes the bytes of erased rows out of the file. `secure_delete` overwrites a row that goes and a page that is given back, but where rows were moved
 * between pages before, what they held still lies in the room that no row has: each table is written anew, which gives all its pages back. Then the log,
 * which still holds what was overwritten, is written back and emptied. Nobody waits for it, and it waits for nobody: where somebody reads the file it is
 * tried again.
 */
export class SqliteSweeper {
  readonly #database: HubDatabase;
  readonly #onWaiting: (fault: Fault) => void;
  readonly #path: string;
  readonly #isAlone: boolean;
  #timer: NodeJS.Timeout | undefined;
  /** Whether nobody is at work with the file when this one closes it. */
  isLast: boolean;
  #inVain = 0;
  #isLogFull = false;
  #isWhole = false;

  /**
   * @param isAlone  whether the file is this process's own; whoever only reads along writes no table anew
   * @param onWaiting  told when bytes stay longer than a few tries, and why
   */
  constructor(
    database: HubDatabase,
    path: string,
    { isAlone = true, onWaiting = () => undefined }: Settings = {},
  ) {
    this.#database = database;
    this.#path = path;
    this.#isAlone = isAlone;
    this.isLast = isAlone;
    this.#onWaiting = onWaiting;
  }

  /** In the transaction that erases, so that a hub that is killed leaves word. */
  note(): void {
    writeSwept(this.#database, UNSWEPT);
  }
  /** Sweeps what waits, and goes on trying. */
  soon(afterMs = SOON_MS): void {
    this.#isLogFull = true;
    this.#timer ??= setTimeout(() => {
      this.#timer = undefined;
      if (this.now() === "waiting") this.soon(AGAIN_AFTER_MS);
    }, afterMs);
    this.#timer.unref();
  }
  /** Tries once, and never waits for somebody who reads. */
  now(): Swept {
    let detail = "somebody reads the file";
    try {
      if (this.#withoutWaiting(() => this.#sweep())) {
        this.#inVain = 0;
        return "done";
      }
    } catch (error) {
      detail = error instanceof Error ? error.message : String(error);
    }
    if (++this.#inVain === TOLD_AFTER)
      this.#onWaiting({ code: "ERASED_WAITS", with: { detail: `${this.#path} ${detail}` } });
    return "waiting";
  }
  /** Writes a long log back. @returns false where somebody reads what is in it, or the disk is full: then it stays as it is. */
  shorten(): boolean {
    try {
      return this.#withoutWaiting(() => writeLogBack(this.#database));
    } catch {
      return false;
    }
  }
  /** The last try, for which nobody waits any more; what it cannot do is done when the file is opened again. */
  close(): void {
    clearTimeout(this.#timer);
    // Beside a hub that is at work the log is the hub's, which would wait for whoever reads.
    if (!this.isLast) return;
    this.#isLogFull = true;
    try {
      this.#withoutWaiting(() => {
        this.#sweep();
        writeLogBackForGood(this.#database);
      });
      this.#isWhole = true;
    } catch {
      // The mark beside the file says that its log is needed.
    }
  }

  /** Whether the file says, since it was closed, that it needs no log. */
  get isWhole(): boolean {
    return this.#isWhole;
  }
  /** Whether nothing of what was erased lies in the file or its log, whoever did it. */
  get isSwept(): boolean {
    return this.#swept === CLEAN;
  }
  get #swept(): number {
    return sweptIn(this.#database);
  }
  /** @returns false where somebody still reads what is in the log. */
  #sweep(): boolean {
    if (this.#isAlone && this.#swept === UNSWEPT) this.#writeAnew();
    if (!this.#isLogFull && this.#swept !== IN_LOG) return true;
    this.#isLogFull = !writeLogBack(this.#database);
    if (this.#isLogFull) return false;
    if (this.#swept === IN_LOG) writeSwept(this.#database, CLEAN);
    return true;
  }
  #writeAnew(): void {
    const database = this.#database;
    inTransaction(database, () => {
      for (const table of this.#tables()) {
        database.exec(`CREATE TEMP TABLE kept AS SELECT * FROM main.${table}`);
        database.exec(`DELETE FROM main.${table}`);
        database.exec(`INSERT INTO main.${table} SELECT * FROM temp.kept`);
        database.exec("DROP TABLE temp.kept");
      }
      writeSwept(database, IN_LOG);
    });
  }
  /** A scorebook alone has no door. */
  #tables(): string[] {
    const named = this.#database
      .prepare("SELECT name FROM main.sqlite_master WHERE type = 'table'")
      .all() as { name: unknown }[];
    const there = new Set(named.map(({ name }) => String(name)));
    return SWEPT.filter((table) => there.has(table));
  }
  /** A hub that waited for somebody who reads would hear nobody meanwhile. */
  #withoutWaiting<T>(work: () => T): T {
    const [{ timeout }] = this.#database.pragma("busy_timeout") as [{ timeout: number }];
    this.#database.pragma("busy_timeout = 0");
    try {
      return work();
    } finally {
      this.#database.pragma(`busy_timeout = ${timeout}`);
    }
  }
}
