import { uuidv7 } from "uuidv7";
import type { AnyEntry, EntryBody } from "../../belt-test/scorebook/entry.ts";
import { Pen } from "../../belt-test/scorebook/pen.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { DeviceId, GradingId } from "../../book/identity.ts";
import { waitsOf } from "../../line/ledger.ts";
import type { Author } from "./grading-room.ts";
import { chiefOrHub } from "./hub-pen.ts";

/** What the hub writes of a further device of somebody's, in the chief's name, and as whom it hands it in. */
export function letInLine(
  book: Scorebook,
  grading: GradingId,
  body: EntryBody<"let-in">,
  nowMs: number,
): { author: Author; entry: AnyEntry } {
  const person = chiefOrHub(book);
  // One of its own for each line, as for what the hub held: a hub put back from an older copy counts nothing twice.
  const device = `door-${uuidv7()}` as DeviceId;
  const pen = new Pen({
    grading,
    person,
    device,
    lamport: lamportForAll(book),
    makeId: uuidv7,
    nowMs: () => nowMs,
  });
  return {
    author: { person, roles: ["chief"], device, isHubs: true },
    entry: pen.write("let-in", body) as AnyEntry,
  };
}

/** The highest logical time that is no secret: closed locks would be told by the book's own. */
function lamportForAll(book: Scorebook): number {
  let highest = 0;
  for (const entry of book.entries())
    if (entry.lamport > highest && !waitsOf(entry)) highest = entry.lamport;
  return highest;
}
