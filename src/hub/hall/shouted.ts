import { isKnown, readEntry } from "../../belt-test/scorebook/entry.ts";
import { highestTaken } from "../../belt-test/scorebook/lamport-leap.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { isNewsTo } from "../../line/floor.ts";
import type { Floor } from "../../line/protocol.ts";
import type { Admitted } from "../door/front-desk.ts";

/**
 * The newest stop, or word that the floor is clear, in what a device hands in; undefined where there is none, where somebody else wrote it, or
 * where the book has it already or knows of a newer one. Only whoever clears the floor may say that it is clear.
 */
export function shouted(
  book: Scorebook,
  { grading, device, person, roles }: Admitted,
  entries: readonly unknown[],
  known = book.lamport,
): Floor | undefined {
  let newest: Floor | undefined;
  for (const json of entries) {
    const { kind: said } = (json ?? {}) as { kind?: unknown };
    if (said !== "stopped" && said !== "floor-cleared") continue;
    const read = readEntry(json);
    if (!read.ok || !isKnown(read.entry)) continue;
    const { id, kind, by, at, lamport, ...entry } = read.entry;
    const isOwn = by === person && entry.device === device && entry.grading === grading;
    const mayClear = roles.includes("chief") || roles.includes("caller");
    if (!isOwn || (kind === "floor-cleared" && !mayClear)) continue;
    // Heard by everybody at once and perhaps never kept: nearer than what is kept of a stop must be. That one is heard as an entry.
    if (lamport > highestTaken(known, "other") || lamport <= (newest?.lamport ?? 0)) continue;
    const isAlone = read.entry.kind === "stopped" && read.entry.body.alone === true;
    newest = {
      stopped: kind === "stopped",
      entry: id,
      by,
      at,
      lamport,
      ...(isAlone ? { alone: true } : {}),
    };
  }
  return newest && isNewsTo(book, newest) ? newest : undefined;
}
