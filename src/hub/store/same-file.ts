import { existsSync, renameSync, rmSync, statSync } from "node:fs";
import { FaultError } from "../../book/faults.ts";

/** Which file stands at a place; undefined for none. */
function fileAt(path: string): string | undefined {
  try {
    const { dev, ino } = statSync(path, { bigint: true });
    return `${dev}/${ino}`;
  } catch {
    return undefined;
  }
}

/**
 * Watches that a database that is open is still the one at its place, with its log: whatever is written to one that was moved, removed or
 * replaced goes on working, and is nowhere when the process ends.
 */
export class SameFile {
  readonly #path: string;
  readonly #place: string;
  readonly #database: string | undefined;
  #log: string | undefined;

  /**
   * @param path  of a database that was just opened; one in memory is not watched.
   * @param place  where it is looked for: another where that is a link.
   */
  constructor(path: string, place = path) {
    this.#path = path;
    this.#place = place;
    this.#database = fileAt(path);
  }

  get isThere(): boolean {
    return this.#gone === undefined;
  }
  /** @throws FaultError STORE_MOVED */
  mustBeThere(): void {
    const gone = this.#gone;
    if (gone !== undefined) throw new FaultError({ code: "STORE_MOVED", with: { file: gone } });
  }

  /**
   * Takes this database's log away from the place of a file that is another's now: whoever opens that file would play it in.
   * @param saved  where all that the database holds was saved; where it could not be, its log is kept under that name
   */
  takeLogAway(saved: string): void {
    // Only the link to it is another's: the log lies beside its own file.
    if (fileAt(this.#path) === this.#database) return;
    // Only an index of a log, made anew by whoever opens the file.
    rmSync(`${this.#path}-shm`, { force: true });
    const log = `${this.#path}-wal`;
    if (this.#log === undefined || fileAt(log) !== this.#log) return;
    if (existsSync(saved)) rmSync(log, { force: true });
    else renameSync(log, `${saved}-wal`);
  }

  get #gone(): string | undefined {
    if (this.#database === undefined) return undefined;
    const log = `${this.#path}-wal`;
    this.#log ??= fileAt(log);
    const changed = [this.#place, this.#path].find((one) => fileAt(one) !== this.#database);
    if (changed !== undefined) return changed;
    return this.#log !== undefined && fileAt(log) !== this.#log ? log : undefined;
  }
}
