import { describe, expect, it } from "vitest";
import { faultCodes, isOfTheLine } from "../../src/book/faults.ts";
import onTheLine from "../../src/words/en/faults.json" with { type: "json" };
import ofTerminal from "../../src/words/en/faults-of-terminal.json" with { type: "json" };
import { faultSentence } from "../../src/words/fault-sentence.ts";
import { sayIn } from "../../src/words/say.ts";

const english = { ...onTheLine, ...ofTerminal };
const sayFault = sayIn(english);

describe("the words of faults", () => {
  it("has a sentence for every code, and none for a code that is gone", () => {
    const { area: _, ...sentences } = english;
    expect(Object.keys(sentences).sort()).toEqual(faultCodes.map((code) => `fault.${code}`).sort());
  });

  it("has none of the terminal's alone on a tablet, and all others", () => {
    const { area: _, ...sentences } = onTheLine;
    const told = faultCodes.filter((code) => isOfTheLine({ code })).map((code) => `fault.${code}`);
    expect(Object.keys(sentences).sort()).toEqual(told.sort());
  });

  it.each(faultCodes)("%s is whole sentences, whatever its writer left out", (code) => {
    const sentence = faultSentence({ code }, sayFault);
    expect(sentence).toMatch(/^[A-Z{?“].{20,}[.?]$/);
    expect(sentence).not.toMatch(/[{}]|undefined/);
  });

  it("names what the fault names", () => {
    expect(faultSentence({ code: "PORT_IN_USE", with: { port: 8443 } }, sayFault)).toContain(
      "8443",
    );
    expect(faultSentence({ code: "TOO_MANY_TRIES", with: { seconds: 1 } }, sayFault)).toContain(
      "1 second,",
    );
    expect(faultSentence({ code: "N_GAP", with: { last: 4, n: 9 } }, sayFault)).toContain(
      "up to 4 and was sent 9",
    );
  });
});
