import { mayWrite } from "../../belt-test/permit/writer.ts";
import { isKnown, readEntry } from "../../belt-test/scorebook/entry.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { highestTaken } from "../../book/lamport-leap.ts";
import { isCleared, isInBook } from "../../line/floor.ts";
import type { Shout } from "../../line/protocol.ts";
import type { Admitted } from "../door/front-desk.ts";

/**
 * Stops that stand, and then word that the floor is clear of others, in what a device hands in; none that somebody else wrote, or that the book has, or
 * that was heard already. Only whoever clears the floor may say that it is clear.
 */
export function shouted(
  book: Scorebook,
  heard: readonly Shout[],
  { grading, device, person, roles }: Admitted,
  entries: readonly unknown[],
  known = book.lamport,
): Shout[] {
  const said = new Map<string, Shout>();
  for (const json of entries) {
    const { kind } = (json ?? {}) as { kind?: unknown };
    if (kind !== "stopped" && kind !== "floor-cleared") continue;
    const read = readEntry(json);
    if (!read.ok || !isKnown(read.entry)) continue;
    const { entry } = read;
    const { id, by, at, lamport } = entry;
    const isOwn = by === person && entry.device === device && entry.grading === grading;
    if (!isOwn || !mayWrite(entry.kind, roles)) continue;
    // Heard by everybody at once and perhaps never kept: nearer than what is kept of a stop must be. That one is heard as an entry.
    if (lamport > highestTaken(known, "other")) continue;
    if (heard.some((one) => one.entry === id)) continue;
    const isAlone = entry.kind === "stopped" && entry.body.alone === true;
    const stops = entry.kind === "floor-cleared" ? entry.body.stops : undefined;
    const floor: Shout = {
      stopped: entry.kind === "stopped",
      entry: id,
      by,
      at,
      lamport,
      ...(isAlone ? { alone: true } : {}),
      ...(stops ? { stops } : {}),
    };
    if (!isInBook(book, floor)) said.set(id, floor);
  }
  const all = [...said.values()];
  const clears = all.filter(({ stopped }) => !stopped);
  return [
    ...all.filter((one) => one.stopped && !isCleared(book, [...heard, ...clears], one)),
    // What somebody stopped and cleared with no hub in reach is over.
    ...clears.filter(({ stops }) => stops?.some((stop) => !said.has(stop)) ?? true),
  ];
}
