import { admitted } from "../admitted.ts";
import { byWriters } from "../by-writers.ts";
import type { OracleBook } from "../oracle-book.ts";
import type { ReadBook } from "./read-book.ts";

/** What a hub that holds nothing yet answers to everything that was handed in on that day, lies among it; and what it then holds. */
export async function admissionView(
  { file: { grading }, people, rounds }: OracleBook,
  { entries, sides }: ReadBook,
): Promise<string> {
  const handed = rounds ?? byWriters(entries, sides, people);
  const came = await admitted(grading, handed);
  return [
    ...came.answers.map((answer, index) => `commit ${index + 1}: ${JSON.stringify(answer)}`),
    ...came.entries.map((entry) => JSON.stringify(entry)),
    ...came.sides.map((side) => JSON.stringify(side)),
  ].join("\n");
}
