import type { Clock } from "../../ports/clock.ts";

/** Work that may never end, as on a disk that does not answer: nobody waits for it longer than its time, and it goes on all the same. */
export class InTime {
  readonly #clock: Clock;
  readonly #onLate: () => void;
  readonly #late = new Set<object>();
  #sinceMs = 0;
  readonly #waiting = new Set<() => void>();
  readonly #timers = new Set<() => void>();

  /** @param onLate  told when something is late, and nothing else was */
  constructor(clock: Clock, onLate: () => void) {
    this.#clock = clock;
    this.#onLate = onLate;
  }

  /** Since when something is late, by the wall clock; undefined where nothing is. */
  get lateSinceMs(): number | undefined {
    return this.#late.size > 0 ? this.#sinceMs : undefined;
  }

  /** The same work; it is late from so many milliseconds on until it ends. */
  async within<T>(work: Promise<T>, ms: number): Promise<T> {
    const its = {};
    const stop = this.#clock.after(ms, () => {
      this.#timers.delete(stop);
      this.#isLate(its);
    });
    this.#timers.add(stop);
    try {
      return await work;
    } finally {
      stop();
      this.#timers.delete(stop);
      this.#late.delete(its);
    }
  }
  #isLate(its: object): void {
    const isFirst = this.#late.size === 0;
    this.#late.add(its);
    if (isFirst) {
      this.#sinceMs = this.#clock.nowMs();
      this.#onLate();
    }
    for (const giveUp of [...this.#waiting]) giveUp();
  }

  /** @throws what `error` says, where something is late or comes to be before this ends */
  async unlessLate<T>(work: Promise<T>, error: () => Error): Promise<T> {
    let giveUp = (): void => undefined;
    const late = new Promise<never>((_, fail) => {
      giveUp = () => fail(error());
    });
    this.#waiting.add(giveUp);
    if (this.#late.size > 0) giveUp();
    try {
      return await Promise.race([work, late]);
    } finally {
      this.#waiting.delete(giveUp);
    }
  }

  /** Nothing comes to be late any more. */
  close(): void {
    for (const stop of this.#timers) stop();
    this.#timers.clear();
  }
}
