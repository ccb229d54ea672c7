import { type Chance, chance, seedOf } from "../../src/demo/chance.ts";

/** Repeatable chance in the words of this world. */
export class Dice {
  readonly #chance: Chance;

  constructor(...seed: (string | number)[]) {
    this.#chance = chance(seedOf(...seed));
  }
  share(): number {
    return this.#chance.share();
  }
  /** True so often, 0–1. */
  falls(share: number): boolean {
    return this.#chance.share() < share;
  }
  between(low: number, high: number): number {
    return low + this.#chance.share() * (high - low);
  }
  /** A whole number from low to high, both included. */
  whole(low: number, high: number): number {
    return low + Math.floor(this.#chance.share() * (high - low + 1));
  }
  /** @throws RangeError from an empty list */
  pick<T>(from: readonly T[]): T {
    if (from.length === 0) throw new RangeError("Dice.pick: nothing to pick from");
    return from[Math.floor(this.#chance.share() * from.length)] as T;
  }
}
