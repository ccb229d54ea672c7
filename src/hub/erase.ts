import { uuidv7 } from "uuidv7";
import type { DeviceId, GradingId, PersonId } from "../core/identity.ts";
import { Pen } from "../core/scorebook/pen.ts";
import { fold } from "../core/scorebook/scorebook.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import type { ErasedLog } from "./storage/erased-log.ts";

/** The hub's own hand, beside everybody's tablets. */
const DEVICE = "hub-by-command" as DeviceId;

/**
 * Erases somebody from one test of a store that no hub has open: an entry in the chief's name, so that tablets hear of it when they come back,
 * then the records, then the note beside the store.
 * @returns how many records went.
 */
export async function erase(
  store: ScorebookStore,
  log: ErasedLog,
  { grading, about, nowMs }: { grading: GradingId; about: string; nowMs: number },
): Promise<number> {
  const book = fold((await store.read(grading, 0)).map(({ entry }) => entry));
  const chief = book.seats.find(({ roles }) => roles.includes("chief"))?.person;
  if (!book.erased.has(about)) {
    const pen = new Pen({
      grading,
      person: chief ?? ("hub" as PersonId),
      device: DEVICE,
      n: (book.basis as Record<string, number>)[DEVICE] ?? 0,
      lamport: book.lamport,
      makeId: uuidv7,
      nowMs: () => nowMs,
    });
    await store.append(grading, [pen.write("erased", { about: about as PersonId })]);
  }
  const gone = await store.erase(grading, about);
  log.note(grading, about, nowMs);
  return gone;
}
