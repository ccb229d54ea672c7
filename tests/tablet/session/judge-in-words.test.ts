import { describe, expect, it } from "vitest";
import { judgeSentence } from "../../../src/tablet/session/judge-in-words.ts";
import { panelWords } from "../../../src/words/panel-words.ts";
import { sayIn } from "../../../src/words/say.ts";

const sentence = (value: number, se: number, standing: "like-others" | "flat" = "like-others") =>
  judgeSentence(sayIn(panelWords), { standing, severity: { value, se }, sameShare: 0.936 });

describe("a judge in one sentence", () => {
  it("does not call a judge like the others whose bar keeps off the line", () => {
    expect(sentence(0.12, 0.05)).toBe("A little lower than the others, too little to matter.");
    expect(sentence(-0.12, 0.05)).toBe("A little higher than the others, too little to matter.");
    // 1.96 × .07 = .137: the bar touches the line.
    expect(sentence(-0.12, 0.07)).toBe("Marks like the others.");
  });
  it("writes a percentage as every other page does", () => {
    expect(sentence(0, 1, "flat")).toBe("Gave nearly everybody the same mark: 94 % of all.");
  });
});
