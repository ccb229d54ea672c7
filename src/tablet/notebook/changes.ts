import type { Clock } from "../../ports/clock.ts";

/** Tells whoever draws that something is another than it was; what nobody waits to see is told together. */
export class Changes {
  #version = 0;
  readonly #listeners = new Set<() => void>();
  readonly #clock: Clock;
  #callOff: (() => void) | undefined;

  constructor(clock: Clock) {
    this.#clock = clock;
  }

  /** Rises with every change. */
  get version(): number {
    return this.#version;
  }
  subscribe(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }
  tell(): void {
    this.#callOff?.();
    this.#callOff = undefined;
    this.#version++;
    for (const listener of this.#listeners) listener();
  }
  /** At the latest after so many milliseconds. */
  tellWithin(ms: number): void {
    this.#callOff ??= this.#clock.after(ms, () => this.tell());
  }
}
