import { isKnown } from "../../belt-test/scorebook/entry.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { EntryId } from "../../book/identity.ts";

/**
 * A lock that was not taken matters no longer once all it speaks of, and is still this judge's, is locked by another that the hub has; an opening, where
 * the marks are open without it.
 */
export function isOvertaken(
  entry: AnyEntry,
  book: Scorebook,
  outbox: { refusals: ReadonlyMap<EntryId, Fault>; isSent(id: EntryId): boolean },
): boolean | undefined {
  if (!isKnown(entry)) return undefined;
  if (entry.kind === "revealed")
    return outbox.refusals.get(entry.id)?.code === "SECTION_OPEN" || undefined;
  if (entry.kind !== "locked") return undefined;
  const { by } = entry;
  const { section, candidates } = entry.body;
  return candidates.every(
    (candidate) =>
      !book.panel.judgesOf(candidate, section).includes(by) ||
      [...book.entries()].some(
        (other) =>
          isKnown(other) &&
          other.kind === "locked" &&
          other.by === by &&
          other.body.section === section &&
          other.body.candidates.includes(candidate) &&
          outbox.isSent(other.id),
      ),
  );
}
