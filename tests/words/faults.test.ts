import { describe, expect, it } from "vitest";
import { faultCodes } from "../../src/book/faults.ts";
import english from "../../src/words/en/faults.json" with { type: "json" };
import { faultSentence } from "../../src/words/faults-words.ts";

describe("the words of faults", () => {
  it("has a sentence for every code, and none for a code that is gone", () => {
    expect(Object.keys(english).sort()).toEqual(faultCodes.map((code) => `fault.${code}`).sort());
  });

  it.each(faultCodes)("%s is whole sentences, whatever its writer left out", (code) => {
    const sentence = faultSentence({ code });
    expect(sentence).toMatch(/^[A-Z{?“].{20,}[.?]$/);
    expect(sentence).not.toMatch(/[{}]|undefined/);
  });

  it("names what the fault names", () => {
    expect(faultSentence({ code: "PORT_IN_USE", with: { port: 8443 } })).toContain("8443");
    expect(faultSentence({ code: "TOO_MANY_TRIES", with: { seconds: 1 } })).toContain("1 second,");
    expect(faultSentence({ code: "N_GAP", with: { last: 4, n: 9 } })).toContain(
      "up to 4 and was sent 9",
    );
  });
});
