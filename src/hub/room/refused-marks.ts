import { type AnyEntry, isKnown } from "../../belt-test/scorebook/entry.ts";
import type { Fault, FaultCode } from "../../book/faults.ts";
import type { CountId, EntryId } from "../../book/identity.ts";
import { keyed } from "../../book/keyed.ts";

/** A mark that is refused so may be taken later, when the child has the rubric again that the judge marked by. */
const forNow: ReadonlySet<FaultCode> = new Set([
  "CANDIDATE_UNKNOWN",
  "ITEM_UNKNOWN",
  "RUBRIC_UNKNOWN",
]);

/** Of one count: what waits, and the lock that was refused with it. */
interface Waiting {
  marks: Map<EntryId, Fault>;
  lock: { id: EntryId; n: number } | undefined;
}

/**
 * Marks that were refused for now. A lock over them, by a judge who has not heard of it, would be final without them: it is refused as they are, and taken
 * when they are. Whoever has heard, and locks what the child is asked for now, writes another lock.
 */
export class RefusedMarks {
  readonly #of = new Map<CountId, Waiting>();

  refused(entry: AnyEntry, fault: Fault): void {
    if (!isKnown(entry) || !isMark(entry.kind) || !forNow.has(fault.code)) return;
    keyed(this.#of, entry.device, () => ({ marks: new Map(), lock: undefined })).marks.set(
      entry.id,
      fault,
    );
  }
  taken({ device, id }: AnyEntry): void {
    const waiting = this.#of.get(device);
    waiting?.marks.delete(id);
    if (waiting?.marks.size === 0) this.#of.delete(device);
  }
  /** Why this lock is not taken; null for any other line. */
  refusalOfLock({ kind, device, id, n }: AnyEntry): Fault | null {
    const waiting = kind === "locked" ? this.#of.get(device) : undefined;
    if (!waiting) return null;
    const { lock } = waiting;
    if (lock && lock.id !== id && lock.n < n) return null;
    waiting.lock ??= { id, n };
    const [fault = null] = waiting.marks.values();
    return fault;
  }
}

const isMark = (kind: AnyEntry["kind"]): boolean => kind === "mark" || kind === "overall";
