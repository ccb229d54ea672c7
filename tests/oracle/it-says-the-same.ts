import { beforeAll, expect, it } from "vitest";
import { type Answers, answersTo, differences, nameOf, readAnswers } from "./answers.ts";
import { readBooks } from "./archive.ts";
import type { BookKind } from "./oracle-book.ts";

const PATIENCE_MS = 240_000;

/**
 * Of the books of one kind everything is said as it was; see docs/oracle.md.
 * @param every  of so many books one is asked here; `npm run oracle` asks all
 */
export function itSaysTheSame(kind: BookKind, count: number, every = 1): void {
  const found: string[] = [];
  const written: Answers = readAnswers();
  const names: string[] = [];
  beforeAll(async () => {
    for (const [at, book] of [...readBooks(kind)].entries()) {
      names.push(nameOf(book));
      if (at % every !== 0) continue;
      found.push(...differences(book, written[nameOf(book)], await answersTo(book)));
    }
  }, PATIENCE_MS);

  it(`reports, feeds, sheets and refusals of ${Math.ceil(count / every)} books are what they were, byte for byte`, () => {
    expect(found).toEqual([]);
  });
  it("none of them is missing", () => {
    const answered = Object.keys(written).filter((name) => name.endsWith(` ${kind}`));
    expect(names).toEqual(answered);
    expect(names).toHaveLength(count);
  });
}
