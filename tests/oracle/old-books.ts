import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { OracleBook, Seated } from "./oracle-book.ts";

const folder = fileURLToPath(new URL("../reference/old-books", import.meta.url));
/** After the last book that is played. */
const FIRST = 201;

/** The simulated days of before there were rules to tell apart; see tests/command-line/old-books.test.ts. */
export function oldBooks(): OracleBook[] {
  const names = readdirSync(folder).filter((name) => /^day-\d+\.rules-1\.json$/.test(name));
  return names.sort().map((name, index) => {
    const file = JSON.parse(readFileSync(join(folder, name), "utf8"));
    return {
      number: FIRST + index,
      day: "old",
      isUnfinished: false,
      people: seatedIn(file.entries),
      file,
    };
  });
}

/** Whoever has a seat; and who wrote without one, in the role that it took. */
function seatedIn(entries: readonly AnyEntry[]): Seated[] {
  const seats = fold(entries).plan.seats.map(({ person, roles }): Seated => ({ person, roles }));
  const others = [...new Set(entries.map(({ by }) => by))].filter(
    (by) => !seats.some(({ person }) => person === by),
  );
  return [...seats, ...others.map((person): Seated => ({ person, roles: rolesNamed(person) }))];
}

const rolesNamed = (person: string): Seated["roles"] =>
  person === "caller" ? ["caller"] : person === "desk" ? ["desk"] : ["judge"];
