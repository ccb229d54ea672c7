/** What decides which of two entries is the newer. */
export interface Stamp {
  lamport: number;
  device: string;
  n: number;
}

/**
 * Which of two entries stands: the higher logical time, then the device's id, then the device's own count.
 * A total order, so every tablet that holds the same entries agrees, whatever the order they arrived in. Wall clocks never decide.
 *
 * @returns negative when `a` is older, positive when newer, 0 only for the same entry.
 * @example
 * byAge({ lamport: 2, device: "a", n: 1 }, { lamport: 1, device: "b", n: 9 }) > 0; // => true
 */
export function byAge(a: Stamp, b: Stamp): number {
  if (a.lamport !== b.lamport) return a.lamport - b.lamport;
  if (a.device !== b.device) return a.device < b.device ? -1 : 1;
  return a.n - b.n;
}

/** A value of which the newest stands, whatever order the writes come in. */
export class Newest<T> {
  #value: T | undefined;
  #stamp: Stamp | undefined;

  /** @returns whether `value` is now the one that stands. */
  offer(value: T, stamp: Stamp): boolean {
    if (this.#stamp && byAge(stamp, this.#stamp) <= 0) return false;
    this.#value = value;
    this.#stamp = { lamport: stamp.lamport, device: stamp.device, n: stamp.n };
    return true;
  }
  get value(): T | undefined {
    return this.#value;
  }
  get stamp(): Stamp | undefined {
    return this.#stamp;
  }
}

/** Any moment of logical time: what stands now. */
export const NOW = Number.POSITIVE_INFINITY;

/** A value whose earlier states are asked for too: by what was written before it changed and arrives after. */
export class History<T> {
  /** Newest first. */
  readonly #told: { value: T; stamp: Stamp }[] = [];

  offer(value: T, { lamport, device, n }: Stamp): void {
    const stamp = { lamport, device, n };
    const place = this.#told.findIndex((other) => byAge(other.stamp, stamp) < 0);
    this.#told.splice(place < 0 ? this.#told.length : place, 0, { value, stamp });
  }
  get value(): T | undefined {
    return this.#told[0]?.value;
  }
  /** Everything it ever was, newest first. */
  get states(): readonly { value: T; stamp: Stamp }[] {
    return this.#told;
  }
  /** What whoever had counted to `lamport` may have known: the newest value that is not younger. Undefined before the first. */
  at(lamport: number): T | undefined {
    return this.#told.find(({ stamp }) => stamp.lamport <= lamport)?.value;
  }
}
