import type { Clock } from "../../ports/clock.ts";
import { Listeners } from "./listeners.ts";

/** Tells whoever draws that something is another than it was; what nobody waits to see is told together. */
export class Changes {
  #version = 0;
  readonly #listeners = new Listeners<[]>();
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
    return this.#listeners.add(listener);
  }
  tell(): void {
    this.#callOff?.();
    this.#callOff = undefined;
    this.#version++;
    this.#listeners.tell();
  }
  /** At the latest after so many milliseconds. */
  tellWithin(ms: number): void {
    this.#callOff ??= this.#clock.after(ms, () => this.tell());
  }
}
