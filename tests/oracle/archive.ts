import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, brotliDecompressSync, constants } from "node:zlib";
import { oldBooks } from "./old-books.ts";
import type { BookKind, DayKind, OracleBook } from "./oracle-book.ts";

const placeOf = (day: DayKind) => fileURLToPath(new URL(`books/${day}.jsonl.br`, import.meta.url));

/** Every book of one kind, by number; each is read when it is asked for, so that they are not all in memory at once. */
export function* readBooks(kind: BookKind): Generator<OracleBook> {
  if (kind === "old") return yield* oldBooks();
  const lines = brotliDecompressSync(readFileSync(placeOf(kind))).toString("utf8");
  for (const line of lines.trimEnd().split("\n")) yield JSON.parse(line);
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
