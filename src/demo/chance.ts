import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { fnv1a } from "../book/fnv.ts";

/** Repeatable chance: the same seed tells the same story. */
export interface Chance {
  /** Uniform in [0, 1). */
  share(): number;
  /** Normal with mean 0 and the given standard deviation (Box & Muller 1958, doi:10.1214/aoms/1177706645). */
  around(deviation: number): number;
  pick<T>(from: readonly T[]): T | undefined;
}

export function chance(seed: number): Chance {
  const generator = xoroshiro128plus(seed);
  const share = () => uniformFloat64(generator);
  return {
    share,
    around: (deviation) =>
      deviation * Math.sqrt(-2 * Math.log(1 - share())) * Math.cos(2 * Math.PI * share()),
    pick: (from) => from[Math.floor(share() * from.length)],
  };
}

/** A seed from words, so that each judge, candidate and cell has its own chance (FNV-1a, Fowler, Noll & Vo). */
export function seedOf(...words: (string | number | null)[]): number {
  return fnv1a(words.join("\n")) | 0;
}
