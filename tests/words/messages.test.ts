import { readdirSync, readFileSync } from "node:fs";
import { IntlMessageFormat } from "intl-messageformat";
import { describe, expect, it } from "vitest";

const folder = new URL("../../src/words/en/", import.meta.url);

describe("the catalogues", () => {
  for (const file of readdirSync(folder)) {
    it(`${file} holds nothing but ICU messages that can be read`, () => {
      const messages = JSON.parse(readFileSync(new URL(file, folder), "utf8")) as Record<
        string,
        string
      >;
      for (const [key, message] of Object.entries(messages)) {
        expect(message.trim(), key).not.toBe("");
        expect(
          () => new IntlMessageFormat(message, "en", undefined, { ignoreTag: true }),
          key,
        ).not.toThrow();
      }
    });
  }
});
