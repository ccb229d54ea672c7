import { deviceOf } from "./counts.ts";
import type { AnyEntry } from "./entry.ts";
import type { Fault } from "./faults.ts";
import type { CountId, DeviceId } from "./identity.ts";

/** One of a device's counts as it has been heard: place by place its logical time; of what was refused only the place. */
interface Count {
  /** Everything up to here was heard. */
  last: number;
  taken: Map<number, number>;
  /** The last place taken, and its logical time. */
  newest: { n: number; lamport: number };
}

/**
 * The devices' counts in one book: every place is filled once, in order, and logical time never falls from one place to the next.
 * A stop, an incident and a withdrawal come whenever they come: they wait for nothing before them.
 */
export class DeviceCounts {
  readonly #counts = new Map<CountId, Count>();
  readonly #heardOf = new Map<DeviceId, number>();
  readonly #isOutOfTurn: (entry: AnyEntry) => boolean;

  /** @param isOutOfTurn  what is taken whatever is missing before it */
  constructor(isOutOfTurn: (entry: AnyEntry) => boolean) {
    this.#isOutOfTurn = isOutOfTurn;
  }

  /** Everything of this count up to here was heard, refused or not; 0 for a stranger. */
  last(count: CountId): number {
    return this.#counts.get(count)?.last ?? 0;
  }
  /** How many lines of this device were heard, in all its counts, refused or not. */
  heardOf(device: DeviceId): number {
    return this.#heardOf.get(device) ?? 0;
  }
  /** It was heard, and is not kept: what comes next need not wait for it. */
  hear(name: CountId, n: number): void {
    if (n !== this.last(name) + 1) return;
    this.#goTo(name, this.#count(name), n);
  }
  #goTo(name: CountId, count: Count, n: number): void {
    const before = count.last;
    count.last = n;
    // The last place that a number can name has none after it: one more is the same number.
    while (count.last < Number.MAX_SAFE_INTEGER && count.taken.has(count.last + 1)) count.last++;
    const device = deviceOf(name);
    this.#heardOf.set(device, this.heardOf(device) + count.last - before);
  }
  /** It is kept. @param isOnDisk  what came before it, and was refused, is not waited for again */
  take(entry: AnyEntry, isOnDisk = false): void {
    const { device, n, lamport } = entry;
    const count = this.#count(device);
    count.taken.set(n, lamport);
    if (n > count.newest.n) count.newest = { n, lamport };
    // A stop waited for nothing: that it is kept says nothing of the places before it, which it would leave open to be filled later.
    if (isOnDisk && !this.#isOutOfTurn(entry) && n > count.last) this.#goTo(device, count, n);
    else this.hear(device, n);
  }
  /**
   * Whether an entry fits its count.
   * @param isForAnyone  a stop and its like, which no count keeps out
   * @returns what is wrong; null where nothing is
   */
  fault({ device, n, lamport }: AnyEntry, isForAnyone: boolean): Fault | null {
    const count = this.#counts.get(device);
    if (count?.taken.has(n)) return { code: "N_REUSED", with: { device, n } };
    if (isForAnyone) return null;
    const last = count?.last ?? 0;
    if (n > last + 1) return { code: "N_GAP", with: { last, n } };
    return count && !isInTime(count, n, lamport) ? { code: "CLOCK_BACK" } : null;
  }
  /**
   * What others had heard and refused is heard here as well; what they took, and is not here, is still to come, and so is what lies behind it.
   * @param upTo  of some counts no further
   */
  hearRefused(others: DeviceCounts, upTo: ReadonlyMap<CountId, number>): void {
    for (const [name, { last, taken }] of others.#counts) {
      const to = upTo.get(name) ?? last;
      for (let n = this.last(name) + 1; n <= to && !taken.has(n); n++) this.hear(name, n);
    }
  }
  #count(name: CountId): Count {
    let count = this.#counts.get(name);
    if (!count) {
      count = { last: 0, taken: new Map(), newest: { n: 0, lamport: 0 } };
      this.#counts.set(name, count);
    }
    return count;
  }
}

/** Nearly always the newest place; one that was refused before and is offered again lies between others. */
function isInTime({ newest, taken }: Count, n: number, lamport: number): boolean {
  if (n > newest.n) return lamport >= newest.lamport;
  for (const [other, its] of taken) if (other < n ? its > lamport : its < lamport) return false;
  return true;
}
