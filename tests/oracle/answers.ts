import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import type { OracleBook } from "./oracle-book.ts";
import { type Views, views } from "./views.ts";

const place = fileURLToPath(new URL("answers.json", import.meta.url));
/** So much of a digest is kept: 64 bits, enough to tell a text from another. */
const FIGURES = 16;

/** Of each book each view's digest. */
export type Answers = Record<string, Views>;

export const nameOf = ({ number, day }: Pick<OracleBook, "number" | "day">): string =>
  `${String(number).padStart(3, "0")} ${day}`;

export const readAnswers = (): Answers => JSON.parse(readFileSync(place, "utf8"));

export function writeAnswers(answers: Answers): void {
  writeFileSync(place, `${JSON.stringify(sorted(answers), null, 2)}\n`);
}
/** What all answers together are known by: docs/oracle.md names it, so that nobody writes others down and says nothing. */
export const answersDigest = (): string => digest(readFileSync(place, "utf8"));

/** What the program says of a book now. */
export async function answersTo(book: OracleBook): Promise<Views> {
  const texts = Object.entries(await views(book));
  return Object.fromEntries(texts.map(([view, text]) => [view, digest(text)]));
}

/** Every view that is not what it was, each in a line that says how to see it. */
export function differences(book: OracleBook, was: Views | undefined, is: Views): string[] {
  const how = `see it: npm run oracle -- --book ${book.number} --write FOLDER, here and in a checkout from before, then diff -r`;
  const names = new Set([...Object.keys(was ?? {}), ...Object.keys(is)]);
  return [...names].sort().flatMap((view) => {
    const [before, now] = [was?.[view], is[view]];
    if (before === now) return [];
    const what = before === undefined ? "is new" : now === undefined ? "is gone" : "differs";
    return `book ${book.number} (${book.day}): ${view} ${what}; ${how}`;
  });
}

const digest = (text: string): string =>
  createHash("sha256").update(text).digest("hex").slice(0, FIGURES);

const sorted = (answers: Answers): Answers =>
  Object.fromEntries(
    Object.entries(answers)
      .sort(byName)
      .map(([name, its]) => [name, Object.fromEntries(Object.entries(its).sort(byName))]),
  );
const byName = ([a]: [string, unknown], [b]: [string, unknown]): number => (a < b ? -1 : 1);
