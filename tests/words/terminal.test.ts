import { IntlMessageFormat } from "intl-messageformat";
import { describe, expect, it } from "vitest";
import questions from "../../src/words/en/questions.json" with { type: "json" };
import terminal from "../../src/words/en/terminal.json" with { type: "json" };

describe("the words of the command line", () => {
  it.each(Object.entries({ ...terminal, ...questions }))("%s can be said", (_, message) => {
    const holes = Object.fromEntries(
      [...message.matchAll(/\{(\w+)/g)].map(([, hole = ""]) => [hole, 1]),
    );
    const said = String(
      new IntlMessageFormat(message, "en", undefined, { ignoreTag: true }).format(holes),
    );
    expect(said).not.toBe("");
  });
});
