import { describe, expect, it } from "vitest";
import { judgeSentence } from "../../../src/tablet/session/judge-in-words.ts";
import panelWords from "../../../src/words/en/panel.json" with { type: "json" };
import { sayIn } from "../../../src/words/say.ts";

const say = sayIn(panelWords);
const sentence = (value: number, se: number, standing: "like-others" | "flat" = "like-others") =>
  judgeSentence(say, { standing, severity: { value, se }, sameShare: 0.936 });

describe("a judge in one sentence", () => {
  it("does not call a judge like the others whose bar keeps off the line", () => {
    expect(sentence(0.12, 0.05)).toBe("A little lower than the others, too little to matter.");
    expect(sentence(-0.12, 0.05)).toBe("A little higher than the others, too little to matter.");
    // 1.96 × .07 = .137: the bar touches the line.
    expect(sentence(-0.12, 0.07)).toBe("Marks like the others.");
  });
  it("says in one breath how much lower, whether that is chance, and whether judges commonly differ so much", () => {
    const severe = (isBeyondCommon: boolean, against: "others" | "standard" = "others") =>
      judgeSentence(say, {
        standing: "severe",
        sameShare: 0.5,
        severity: { value: 0.42, se: 0.1, against, isBeyondCommon },
      });
    const lower = "Marks lower than the others, by about 0.4 of a level.";
    expect(severe(true)).toBe(
      `${lower} That is more than chance, and more than judges commonly differ.`,
    );
    expect(severe(false)).toBe(
      `${lower} That is more than chance, but no more than judges commonly differ.`,
    );
    // A whole panel may lie off a standard; the comparison of judges knows nothing of it.
    expect(severe(false, "standard")).toBe(
      "Marks lower than the standard, by about 0.4 of a level. That is more than chance.",
    );
  });
  it("names the number that was too small, and no other", () => {
    const few = (shared: number) =>
      judgeSentence(say, { standing: "too-little", severity: null, sameShare: 0, shared });
    expect(few(1)).toBe(
      "Too little to say: 1 candidate was marked by somebody else too, and 6 are needed.",
    );
    expect(few(9)).toMatch(/^Cannot be compared/);
  });
  it("writes a percentage as every other page does", () => {
    expect(sentence(0, 1, "flat")).toBe("Gave everybody the same mark.");
  });
});
