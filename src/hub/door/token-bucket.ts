/** So many at once, so many a second after that. Time is given in milliseconds and may stand still. */
export class TokenBucket {
  readonly #most: number;
  readonly #aSecond: number;
  #left: number;
  #atMs: number;

  constructor(most: number, aSecond: number, nowMs: number) {
    this.#most = most;
    this.#aSecond = aSecond;
    this.#left = most;
    this.#atMs = nowMs;
  }

  /** @returns whether `count` more are within the rate; takes them if so. */
  take(count: number, nowMs: number): boolean {
    const passed = Math.max(0, nowMs - this.#atMs) / 1000;
    this.#left = Math.min(this.#most, this.#left + passed * this.#aSecond);
    this.#atMs = nowMs;
    if (count > this.#left) return false;
    this.#left -= count;
    return true;
  }

  /** What was taken and turned out not to count. */
  giveBack(count: number): void {
    this.#left = Math.min(this.#most, this.#left + count);
  }
}
