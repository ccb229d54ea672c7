import { describe, expect, it } from "vitest";
import { plainName } from "../../../src/hub/forgetting/erasable.ts";

describe("a name as it is compared", () => {
  it.each([
    ["Lena Groß", "LENA GROSS"],
    ["LENA GROẞ", "lena groß"],
    ["Işık Yıldız", "IŞIK YILDIZ"],
    ["İpek Öz", "ipek öz"],
    ["İPEK ÖZ", "İpek Öz"],
    ["Νίκος", "ΝΊΚΟΣ"],
    [" Ada \u00a0 Söderlund", "ADA SÖDERLUND"],
  ])("[H147] is one in capitals and in small letters: %s, %s", (one, other) => {
    expect(plainName(one)).toBe(plainName(other));
  });

  it("[H147] is another where a letter is", () => {
    expect(plainName("Isık")).not.toBe(plainName("Işık"));
    expect(plainName("Groß")).not.toBe(plainName("Gros"));
  });
});
