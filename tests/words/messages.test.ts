import { readdirSync, readFileSync } from "node:fs";
import { type MessageFormatElement, parse, TYPE } from "@formatjs/icu-messageformat-parser";
import { IntlMessageFormat } from "intl-messageformat";
import { describe, expect, it } from "vitest";

const words = new URL("../../src/words/", import.meta.url);
const languages = readdirSync(words, { withFileTypes: true })
  .filter((one) => one.isDirectory())
  .map(({ name }) => name);
type Messages = Readonly<Record<string, string>>;
const messagesIn = (language: string, file: string): Messages =>
  JSON.parse(readFileSync(new URL(`${language}/${file}`, words), "utf8"));
const filesOf = (language: string): string[] => readdirSync(new URL(`${language}/`, words));

/** What a message has left open, by name: `count` of “{count} marks”. */
function holesIn(parts: readonly MessageFormatElement[]): string[] {
  return parts.flatMap((part) => {
    const own = "value" in part && part.type !== TYPE.literal ? [String(part.value)] : [];
    const inner = "options" in part ? Object.values(part.options) : [];
    return [...own, ...inner.flatMap(({ value }) => holesIn(value))];
  });
}
const read = (message: string) => parse(message, { ignoreTag: true });
/** What is wrong with the messages of another language beside the English ones. */
function strayIn(messages: Messages, english: Messages): string[] {
  return Object.entries(messages).flatMap(([key, message]) => {
    const its = english[key];
    if (its === undefined) return [`${key}: no such message`];
    const holes = new Set(holesIn(read(its)));
    return holesIn(read(message)).flatMap((hole) => (holes.has(hole) ? [] : `${key}: {${hole}}`));
  });
}

describe("the catalogues", () => {
  for (const language of languages)
    for (const file of filesOf(language)) {
      it(`${language}/${file} holds nothing but ICU messages that can be read`, () => {
        for (const [key, message] of Object.entries(messagesIn(language, file))) {
          expect(message.trim(), key).not.toBe("");
          expect(
            () => new IntlMessageFormat(message, language, undefined, { ignoreTag: true }),
            key,
          ).not.toThrow();
        }
      });
      it(`${language}/${file} says nothing that English does not, and leaves nothing else open`, () => {
        expect(filesOf("en")).toContain(file);
        expect(strayIn(messagesIn(language, file), messagesIn("en", file))).toEqual([]);
      });
    }

  it("of another language are held to the English ones", () => {
    const english = {
      pause: "Pause {wave}",
      marks: "{count, plural, one {# mark} other {# marks}}",
    };
    expect(
      strayIn({ pause: "Pause ({wave})", marks: "{count, plural, other {# Noten}}" }, english),
    ).toEqual([]);
    expect(
      strayIn(
        { pause: "{wat}", marks: "{count, select, a {{wat}} other {}}", puase: "P" },
        english,
      ),
    ).toEqual(["pause: {wat}", "marks: {wat}", "puase: no such message"]);
  });
});
