import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, brotliDecompressSync, constants } from "node:zlib";
import { oldBooks } from "./old-books.ts";
import type { BookKind, DayKind, OracleBook } from "./oracle-book.ts";

const placeOf = (day: DayKind) => fileURLToPath(new URL(`books/${day}.jsonl.br`, import.meta.url));

/** Every book of one kind, by number. */
export function readBooks(kind: BookKind): OracleBook[] {
  if (kind === "old") return oldBooks();
  return brotliDecompressSync(readFileSync(placeOf(kind)))
    .toString("utf8")
    .trimEnd()
    .split("\n")
    .map((line) => JSON.parse(line) as OracleBook);
}

/** Writes them, one line each (JSON), all compressed together, since most of one stands in the next. */
export function writeBooks(day: DayKind, books: readonly OracleBook[]): void {
  const text = books.map((book) => `${JSON.stringify(book)}\n`).join("");
  const bytes = brotliCompressSync(text, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 9,
      [constants.BROTLI_PARAM_LGWIN]: 24,
      [constants.BROTLI_PARAM_SIZE_HINT]: text.length,
    },
  });
  writeFileSync(placeOf(day), bytes);
}
