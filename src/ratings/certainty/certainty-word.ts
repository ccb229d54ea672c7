export type CertaintyWord = "clear" | "close" | "too close to call";

/** From here on a verdict is called clear, and from there on close. */
const CLEAR_AT = 0.95;
const CLOSE_AT = 0.75;

/**
 * What to call a verdict that is so sure.
 * @param sure probability of that verdict, 0–1. @throws RangeError outside.
 * @example
 * certaintyWord(0.95); // => "clear"
 * certaintyWord(0.4); // => "too close to call"
 */
export function certaintyWord(sure: number): CertaintyWord {
  if (!(sure >= 0 && sure <= 1)) throw new RangeError(`certaintyWord: ${sure}`);
  return sure >= CLEAR_AT ? "clear" : sure >= CLOSE_AT ? "close" : "too close to call";
}
