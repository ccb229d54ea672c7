import type { Clock } from "../../ports/clock.ts";

/** Unsent entries go out again after the first of these when one was missing, and no faster than the second. Milliseconds. */
const GAP_MS = { first: 200, next: 5_000 };

/** When all that waits goes out again: once, however often it is asked for meanwhile. */
export class Resending {
  readonly #clock: Clock;
  readonly #send: () => void;
  #callOff: (() => void) | undefined;
  #sentAtMs = Number.NEGATIVE_INFINITY;

  constructor(clock: Clock, send: () => void) {
    this.#clock = clock;
    this.#send = send;
  }

  within(ms: number): void {
    this.#callOff ??= this.#clock.after(ms, () => {
      this.#callOff = undefined;
      this.#sentAtMs = this.#clock.steadyMs();
      this.#send();
    });
  }
  /** The hub lacks an earlier line of this device: everything unsent goes out again, in order, once for a whole batch. */
  overGap(): void {
    const isLongAgo = this.#clock.steadyMs() - this.#sentAtMs > GAP_MS.next;
    this.within(isLongAgo ? GAP_MS.first : GAP_MS.next);
  }
  callOff(): void {
    this.#callOff?.();
  }
}
