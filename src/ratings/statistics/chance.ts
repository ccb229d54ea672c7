/**
 * Chance that can be repeated: the same seed, the same numbers, on every machine.
 *
 * @param seed a whole number, 0 to 2^32 - 1; larger ones are folded.
 * @returns a function of numbers from 0 up to but not including 1, with 32 bits each. Good for resampling, not for secrets.
 * Source: sfc32 of Chris Doty-Humphrey's PractRand 0.94, seeded by counting and warmed up by 15 rounds.
 *
 * @example
 * chanceFrom(1)() === chanceFrom(1)(); // => true
 */
export function chanceFrom(seed: number): () => number {
  let [a, b, c, counter] = [0x9e3779b9, 0x243f6a88 ^ (seed / 2 ** 32), seed | 0, 1];
  const next = () => {
    const mixed = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + mixed) | 0;
    return (mixed >>> 0) / 2 ** 32;
  };
  for (let round = 0; round < 15; round++) next();
  return next;
}
