import { uuidv7 } from "uuidv7";
import { lastOf } from "../../belt-test/scorebook/last-of.ts";
import { Pen } from "../../belt-test/scorebook/pen.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { DeviceId, GradingId, PersonId } from "../../book/identity.ts";

/** The hub's own hand, beside everybody's tablets. */
const DEVICE = "hub-by-command" as DeviceId;
/** In whose name it writes where a test has no chief yet. */
export const HUB = "hub" as PersonId;

/** A pen with which the hub itself writes in the chief's name: at a command, or for what was set. */
export function hubPen(
  book: Scorebook,
  grading: GradingId,
  nowMs: number,
): { pen: Pen; person: PersonId; device: DeviceId } {
  const person = chiefOrHub(book);
  const pen = new Pen({
    grading,
    person,
    device: DEVICE,
    last: lastOf(book.entries(), DEVICE),
    lamport: book.lamport,
    makeId: uuidv7,
    nowMs: () => nowMs,
    rules: () => book.rules,
  });
  return { pen, person, device: DEVICE };
}

/** In whose name the hub writes: the chief's, and its own while there is none. */
export const chiefOrHub = (book: Scorebook): PersonId =>
  book.seats.find(({ roles }) => roles.includes("chief"))?.person ?? HUB;
