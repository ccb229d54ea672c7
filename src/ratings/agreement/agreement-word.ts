/** From here on marks are commonly relied upon, and from here on they carry tentative conclusions. */
export const RELIABLE = 0.8;
export const TENTATIVE = 0.667;

/** `relied-on`, `tentative`, or `too-little` to build on. */
export type AgreementWord = "relied-on" | "tentative" | "too-little";

/**
 * What an agreement beyond chance is worth, in a word that every page and table shares.
 *
 * @param alpha Krippendorff's alpha, at most 1.
 *
 * A yardstick for data that others build on, not for a day's results: where nearly all marks are *Meets*, alpha is low although judges differ little.
 * Source: Krippendorff 2004, doi:10.1111/j.1468-2958.2004.tb00738.x: rely on .800 and more, tentative conclusions down to .667.
 *
 * @example
 * agreementWord(0.8); // => "relied-on"
 * agreementWord(0.46); // => "too-little"
 */
export function agreementWord(alpha: number): AgreementWord {
  if (alpha >= RELIABLE) return "relied-on";
  return alpha >= TENTATIVE ? "tentative" : "too-little";
}
