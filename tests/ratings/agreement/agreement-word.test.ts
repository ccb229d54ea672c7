import { describe, expect, it } from "vitest";
import { agreementWord } from "../../../src/ratings/agreement/agreement-word.ts";

// Krippendorff 2004, doi:10.1111/j.1468-2958.2004.tb00738.x: .800 to rely on, .667 for tentative conclusions.
describe("what an agreement beyond chance is worth", () => {
  it.each([
    [1, "relied-on"],
    [0.8, "relied-on"],
    [0.799, "tentative"],
    [0.667, "tentative"],
    [0.666, "too-little"],
    [0.46, "too-little"],
    [-0.2, "too-little"],
  ])("%d is %s", (alpha, word) => {
    expect(agreementWord(alpha)).toBe(word);
  });
});
