import { readFileSync } from "node:fs";
import { FaultError } from "../../src/book/faults.ts";
import type { GradingId } from "../../src/book/identity.ts";
import { openDatabase } from "../../src/hub/store/open-database.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { sqliteScorebook } from "../../src/hub/store/sqlite-scorebook.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { anId } from "../builders/an-id.ts";

/** What a hub serves of a store: every line, every name and text, and who is let in. */
export interface Served {
  gradings: string[];
  lines: Record<string, string[]>;
  sides: Record<string, string>;
  devices: string[];
  /** What is wrong, as it is named. */
  named: string[];
}

/** Opens a store as a hub does and reads all of it. @throws FaultError where it is refused. */
export async function served(path: string): Promise<Served> {
  const database = openDatabase(path);
  try {
    const store = sqliteScorebook(database, path, testBooks);
    const door = sqliteDoorTables(database, path, testBooks);
    const found: Served = { gradings: [], lines: {}, sides: {}, devices: [], named: [] };
    for (const { grading } of await store.gradings()) {
      const room = await GradingRoom.open(grading, store, "hub");
      const chief = room.feed({ person: anId("nobody"), roles: ["chief"] });
      found.gradings.push(grading);
      found.lines[grading] = [...room.book.entries()].map((entry) => JSON.stringify(entry)).sort();
      for (const { id } of await store.sides(grading)) {
        const shown = room.side(id);
        if (shown) found.sides[id] = JSON.stringify(shown);
      }
      if (room.trouble) found.named.push(room.trouble.code);
      if (chief.length > room.upTo) found.named.push("FEED_TOO_LONG");
      for (const row of await door.devices(grading as GradingId))
        found.devices.push(JSON.stringify(row));
    }
    return found;
  } finally {
    database.close();
  }
}

/** How a store with a bit turned over came out. */
export function verdictOf(now: Served, truth: Served): string {
  const isSame = (a: unknown, b: unknown) => JSON.stringify(a) === JSON.stringify(b);
  const isWrong =
    now.gradings.some((one) => {
      const lines = new Set(truth.lines[one] ?? []);
      return now.lines[one]?.some((line) => !lines.has(line));
    }) ||
    Object.entries(now.sides).some(([id, text]) => truth.sides[id] !== text) ||
    now.devices.some((row) => !truth.devices.includes(row));
  if (isWrong) return "wrong";
  if (now.named.length > 0) return "named";
  const { named: _, ...plain } = now;
  const { named: __, ...true_ } = truth;
  const keys = ["gradings", "lines", "sides", "devices"] as const;
  const other = keys.filter((key) => !isSame(plain[key], true_[key]));
  return other.length === 0 ? "right" : `less of ${other.join()}`;
}

/** For a process of its own: reads each file named on the command line and prints how it came out. */
export async function judge(truthFile: string, files: readonly string[]): Promise<void> {
  const truth = JSON.parse(readFileSync(truthFile, "utf8")) as Served;
  for (const file of files) {
    process.stdout.write(`${file} `);
    try {
      process.stdout.write(`${verdictOf(await served(file), truth)}\n`);
    } catch (error) {
      const said = error instanceof FaultError ? "refused" : `stack ${String(error)}`;
      process.stdout.write(`${said.replaceAll("\n", " ")}\n`);
    }
  }
}
