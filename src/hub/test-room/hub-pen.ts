import { v7 as uuidv7 } from "uuid";
import { Pen } from "../../belt-test/scorebook/pen.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { waitsOf } from "../../belt-test/scorebook/sight.ts";
import type { DeviceId, GradingId, PersonId } from "../../book/identity.ts";

/** In whose name it writes where a test has no chief yet. */
export const HUB = "hub" as PersonId;

/**
 * A pen with which the hub itself writes in the chief's name: at a command, for what was set, for whom it let in. Its device is nobody's and new each time:
 * nobody can have knocked, or counted, under that name before, and a hub put back from an older copy counts nothing twice.
 */
export function hubPen(
  book: Scorebook,
  grading: GradingId,
  nowMs: number,
): { pen: Pen; person: PersonId; device: DeviceId } {
  const person = chiefOrHub(book);
  const device = `hub-${uuidv7()}` as DeviceId;
  const pen = new Pen({
    grading,
    person,
    device,
    lamport: lamportForAll(book),
    makeId: uuidv7,
    nowMs: () => nowMs,
    rules: () => book.plan.rules,
  });
  return { pen, person, device };
}

/** In whose name the hub writes: the chief's, and its own while there is none. */
const chiefOrHub = (book: Scorebook): PersonId =>
  book.plan.seats.find(({ roles }) => roles.includes("chief"))?.person ?? HUB;

/** The highest logical time that is no secret: closed locks would be told by the book's own. */
function lamportForAll(book: Scorebook): number {
  let highest = 0;
  for (const entry of book.entries())
    if (entry.lamport > highest && !waitsOf(entry)) highest = entry.lamport;
  return highest;
}
