import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, it } from "vitest";

const src = fileURLToPath(new URL("../../src", import.meta.url));
const texts = readdirSync(src, { recursive: true, encoding: "utf8" })
  .filter((name) => /\.(ts|tsx|mjs)$/.test(name))
  .map((name) => readFileSync(join(src, name), "utf8"));
const areas = readdirSync(join(src, "words/en")).map((name) => name.replace(".json", ""));

/** Keys that are put together out of pieces, `due-${state}`, with what each may come to. */
const templates = new Map(
  texts.map((text) => [
    text,
    [...text.matchAll(/`([\w.-]*(?:\$\{[^`{}]*\}[\w.-]*)+)`/g)].map(([, template = ""]) => {
      const pieces = template.split(/\$\{[^}]*\}/);
      const pattern = pieces.map((piece) => piece.replaceAll(".", "\\.")).join("[\\w.-]+");
      return { letters: pieces.join("").replace(/\W/g, "").length, is: new RegExp(`^${pattern}$`) };
    }),
  ]),
);

const all = (text: string, pattern: RegExp): Set<string> =>
  new Set([...text.matchAll(pattern)].map(([, word = ""]) => word));
/** What stands in a text as a word of its own: in quotation marks, behind a dot, before a colon. Read once, for hundreds of keys. */
const words = new Map(
  texts.map((text) => [
    text,
    {
      quoted: all(text, /"([\w.-]+)"/g),
      dotted: all(text, /\.(\w+)/g),
      named: all(text, /([\w-]+):/g),
    },
  ]),
);

function isSaid(key: string, text: string, isSpeaker: boolean): boolean {
  const its = words.get(text);
  if (its?.quoted.has(key) || its?.dotted.has(key)) return true;
  if (isSpeaker && its?.named.has(key)) return true;
  // Two letters are a word of its own; of a hyphen alone every key could be made.
  const able = templates.get(text)?.filter(({ letters }) => letters >= 2 || isSpeaker) ?? [];
  return able.some(({ is }) => is.test(key));
}

it.each(areas)("says every message of %s somewhere", (area) => {
  const catalogue = JSON.parse(readFileSync(join(src, `words/en/${area}.json`), "utf8")) as object;
  const speaks = (text: string) =>
    text.includes(`/${area}.json"`) ||
    text.includes(`/say-${area}.ts"`) ||
    // The set-up's own words, which it reads by itself.
    (area === "make-ready" && text.includes('"./words.mjs"'));
  expect(texts.some(speaks)).toBe(true);
  // Whoever speaks of other areas alone says nothing of this one, unless words are handed to them.
  const may = texts.filter(
    (text) => speaks(text) || !/words\/en\/[\w-]+\.json"/.test(text) || /: Say(Of)?</.test(text),
  );
  const unsaid = Object.keys(catalogue).filter(
    (key) => key !== "area" && !may.some((text) => isSaid(key, text, speaks(text))),
  );
  expect(unsaid).toEqual([]);
});
