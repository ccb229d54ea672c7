import { closeSync, existsSync, fsyncSync, openSync, readFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import type { GradingId } from "../../core/identity.ts";
import { withStoreFaults } from "./open-database.ts";

/** Who was erased from which grading. No name is in it: an id that means nothing any more. */
interface Erased {
  grading: GradingId;
  about: string;
  /** ISO 8601, by the hub's clock. */
  at: string;
}

/** Beside the database and outside its backups, so that a backup from before does not bring anybody back. */
export interface ErasedLog {
  /** On the disk when it returns. @returns false for somebody noted before, who is no news. */
  note(grading: GradingId, about: string, nowMs: number): boolean;
  of(grading: GradingId): string[];
  all(): readonly Erased[];
}

export function openErasedLog(folder: string): ErasedLog {
  const file = join(folder, ERASED_FILE);
  const known = new Map(readErased(file).map((one) => [`${one.grading}/${one.about}`, one]));
  return {
    note(grading, about, nowMs) {
      const key = `${grading}/${about}`;
      if (known.has(key)) return false;
      const one: Erased = { grading, about, at: new Date(nowMs).toISOString() };
      withStoreFaults(file, () => {
        const log = openSync(file, "a", 0o600);
        writeSync(log, `${JSON.stringify(one)}\n`);
        fsyncSync(log);
        closeSync(log);
      });
      known.set(key, one);
      return true;
    },
    of: (grading) =>
      [...known.values()].flatMap((one) => (one.grading === grading ? [one.about] : [])),
    all: () => [...known.values()],
  };
}

const ERASED_FILE = "erased.jsonl";

/** The lines of such a file; one that a power cut tore is left out: its erasing was not confirmed and is done again from the book. */
function readErased(file: string): Erased[] {
  if (!existsSync(file)) return [];
  return readFileSync(file, "utf8")
    .split("\n")
    .flatMap((line): Erased[] => {
      try {
        const { grading, about, at } = JSON.parse(line) as Partial<Erased>;
        return grading && about && at ? [{ grading, about, at }] : [];
      } catch {
        return [];
      }
    });
}
