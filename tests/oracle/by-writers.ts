import { deviceOf } from "../../src/book/counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { refsIn } from "../../src/line/refs-in.ts";
import type { HandIn, Round } from "../world/lying-hall.ts";
import type { Seated } from "./oracle-book.ts";

/** So many lines come into one commit. */
const A_COMMIT = 20;

/** Lines as whoever wrote them would have handed them in, each by itself, where nobody wrote down how they came. */
export function byWriters(
  entries: readonly AnyEntry[],
  sides: ReadonlyMap<string, SideRecord>,
  people: readonly Seated[],
): Round[] {
  const handed = entries.map(
    (entry): HandIn => ({
      person: entry.by,
      roles: people.find(({ person }) => person === entry.by)?.roles ?? [],
      device: deviceOf(entry.device),
      alsoOn: [],
      entries: [entry],
      sides: refsIn(entry).flatMap(({ id }) => sides.get(id) ?? []),
      isOut: false,
      isLiar: false,
    }),
  );
  return Array.from({ length: Math.ceil(handed.length / A_COMMIT) }, (_, index) =>
    handed.slice(index * A_COMMIT, (index + 1) * A_COMMIT),
  );
}
