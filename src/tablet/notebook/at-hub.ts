import type { AnyBook } from "../../book/any-book.ts";
import { deviceOf } from "../../book/counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { EntryId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import { type Holds, isHeldIn } from "../../line/holds.ts";
import type { NotebookOf } from "./notebook.ts";

/** A notebook, whatever its kinds say. */
type AnyNotebook = NotebookOf<AnyBook, Record<never, never>, object>;

/**
 * Compares what this device has kept with what the hub holds of it; what the hub holds is sent, whoever of this device sent it.
 * @returns own entries that the hub does not have, acknowledged or not, and what only this device can give back with them.
 */
export function comparedWith(notebook: AnyNotebook, holds: Holds): AnyEntry[] {
  const { outbox, pass, rules } = notebook;
  const taken = outbox.untaken().filter((one) => isHeldIn(holds, one));
  notebook.acknowledged(taken.map(({ id }) => id));
  for (const entry of notebook.book.entries())
    if (notebook.isKept(entry.id) && isHeldIn(holds, entry)) outbox.owesNot(entry.id);
  const owed = rules.owedAgain(notebook.book.entries(), pass.device, holds);
  return owed.filter(({ id }) => notebook.isKept(id));
}

/** What waits on the disk now. What was not taken and waits no more has been taken, and another tab was told. */
export function outboxIs(notebook: AnyNotebook, entries: readonly AnyEntry[]): void {
  const waiting = new Set(entries.map(({ id }) => id));
  const taken = notebook.outbox.untaken().filter(({ id }) => !waiting.has(id));
  if (taken.length > 0) notebook.acknowledged(taken.map(({ id }) => id));
}

/** Entries of the outbox: also those of another tab of this device, which the hub will not say to this one. */
export function owes(
  notebook: AnyNotebook,
  entries: readonly AnyEntry[],
  sides: readonly SideRecord[],
): void {
  for (const { id } of entries) notebook.outbox.owes(id);
  const ofOthers = entries.filter(({ id }) => !notebook.book.entry(id));
  if (ofOthers.length > 0) notebook.take(ofOthers, sides);
  else notebook.tellsSoon();
}

/**
 * A hub that was put back from an older copy says everything anew. What this device wrote it hands in itself.
 *
 * @returns what it has not said yet
 */
export function hearsAnew({ book, pass, rules, heardAnew }: AnyNotebook): EntryId[] {
  const others = [...book.entries()].filter(
    (entry) => deviceOf(entry.device) !== pass.device && !rules.staysUnsaid(entry, pass.person),
  );
  return heardAnew.begins(others.map(({ id }) => id));
}
