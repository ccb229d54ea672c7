import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, brotliDecompressSync, constants } from "node:zlib";
import type { DayKind, OracleBook } from "./oracle-book.ts";

const placeOf = (day: DayKind) =>
  fileURLToPath(new URL(`books/${day}.jsonl.br`, import.meta.url));

/** Every book of one kind of day; one line each (JSON), all compressed together, since most of one stands in the next. */
export function readArchive(day: DayKind): OracleBook[] {
  return brotliDecompressSync(readFileSync(placeOf(day)))
    .toString("utf8")
    .trimEnd()
    .split("\n")
    .map((line) => JSON.parse(line) as OracleBook);
}

/** @returns bytes written */
export function writeArchive(day: DayKind, books: readonly OracleBook[]): number {
  const text = books.map((book) => `${JSON.stringify(book)}\n`).join("");
  const bytes = brotliCompressSync(text, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 9,
      [constants.BROTLI_PARAM_LGWIN]: 24,
      [constants.BROTLI_PARAM_SIZE_HINT]: text.length,
    },
  });
  writeFileSync(placeOf(day), bytes);
  return bytes.length;
}
