import type { CandidateId } from "../../belt-test/identity.ts";
import { isKnown } from "../../belt-test/scorebook/entry.ts";
import { deviceOf } from "../../book/counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import { type Fault, faultsThatAre } from "../../book/faults.ts";
import type { CountId, EntryId } from "../../book/identity.ts";
import { keyed } from "../../book/keyed.ts";

const tillThePlanComes = faultsThatAre("till-the-plan-comes");

/** Of one place: what waits, and of each count over it the lock that was refused with it. */
interface Waiting {
  lines: Map<EntryId, Fault>;
  locks: Map<CountId, { id: EntryId; n: number }>;
}

/**
 * Marks that were refused for now, and lanes that could not be swapped. A lock over them, by a judge who has not heard of it, would be final without them: it
 * is refused as they are, and taken when they are. Whoever has heard, and locks what is on the glass now, writes another lock.
 */
export class RefusedLines {
  readonly #of = new Map<string, Waiting>();
  readonly #locks = new Map<EntryId, Fault>();

  refused(entry: AnyEntry, fault: Fault): void {
    if (entry.kind === "locked") this.#locks.set(entry.id, fault);
    for (const place of placesOf(entry, fault))
      keyed(this.#of, place, () => ({ lines: new Map(), locks: new Map() })).lines.set(
        entry.id,
        fault,
      );
  }
  taken(entry: AnyEntry): void {
    for (const place of placesOf(entry)) {
      const waiting = this.#of.get(place);
      waiting?.lines.delete(entry.id);
      if (waiting?.lines.size === 0) this.#of.delete(place);
    }
  }
  /**
   * Why this lock is not taken; null for any other line.
   * @param isPassedOver  its judge wrote on since it was refused, and that has come: it speaks of what was on the glass then
   * @param isMarkedOn  the same of what comes with it, if it was refused
   */
  refusalOfLock(
    entry: AnyEntry,
    { isPassedOver, isMarkedOn }: { isPassedOver: boolean; isMarkedOn: boolean },
  ): Fault | null {
    if (!isKnown(entry) || entry.kind !== "locked") return null;
    const { id, body } = entry;
    const [candidate = ""] = body.candidates;
    const before = this.#locks.get(id);
    if (isPassedOver || (isMarkedOn && before))
      return before ?? { code: "PLAN_OLDER", with: { candidate, section: body.section } };
    return this.refusedUnder(entry);
  }
  /** Why a line was refused over which this lock is laid: it waits with it. */
  refusedUnder(entry: AnyEntry): Fault | null {
    if (!isKnown(entry) || entry.kind !== "locked") return null;
    const { id, n, device, body } = entry;
    for (const place of [device, ...lanesOf(device, body.candidates)]) {
      const waiting = this.#of.get(place);
      if (!waiting) continue;
      const lock = keyed(waiting.locks, device, () => ({ id, n }));
      if (lock.id !== id && lock.n < n) continue;
      const [fault = null] = waiting.lines.values();
      return fault;
    }
    return null;
  }
}

/** What a line that is refused, or taken after all, says something of: a count of marks, or two children whose marks would change places. */
function placesOf(entry: AnyEntry, fault?: Fault): string[] {
  if (!isKnown(entry)) return [];
  switch (entry.kind) {
    case "mark":
    case "overall":
      return !fault || tillThePlanComes.has(fault.code) ? [entry.device] : [];
    case "lanes-swapped":
      return lanesOf(entry.device, entry.body.candidates);
    default:
      return [];
  }
}

const lanesOf = (count: CountId, candidates: readonly CandidateId[]): string[] =>
  candidates.map((candidate) => `${deviceOf(count)}/${candidate}`);

/**
 * Of lines as they came, in order: locks behind which their own count goes on with marks that answer nothing. Whoever has locked marks no more there, unless
 * it was refused.
 */
export function locksMarkedOn(lines: readonly unknown[]): Set<string> {
  const found = new Set<string>();
  const marked = new Set<string>();
  for (const line of lines.toReversed()) {
    const { kind, id, device, body } = (line ?? {}) as Record<string, unknown>;
    if (typeof device !== "string" || typeof id !== "string") continue;
    const { answers } = (body ?? {}) as { answers?: unknown };
    if ((kind === "mark" || kind === "overall") && answers === undefined) marked.add(device);
    else if (kind === "locked" && marked.has(device)) found.add(id);
  }
  return found;
}
