import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { entryKinds } from "../../src/belt-test/kinds/all-kinds.ts";
import {
  type Answers,
  answersDigest,
  answersTo,
  differences,
  nameOf,
  readAnswers,
  writeAnswers,
} from "./answers.ts";
import { readBooks, writeBooks } from "./archive.ts";
import { BOOKS, DAYS, type OracleBook } from "./oracle-book.ts";
import { playBooks } from "./play-books.ts";
import { readable } from "./readable.ts";
import { views } from "./views.ts";

/*
 * npm run oracle: what the program says of every book, beside what it said before. Ends with 1 where anything differs.
 *   -- --book N --write FOLDER   the texts of one book, to be compared with those of another checkout; of all without --book
 *   -- --answers                 writes down what is said now; docs/oracle.md then says why it is another
 *   -- --play                    plays all days anew, and writes down what is said of them
 */
const optionOf = (option: string): string | undefined => {
  const at = process.argv.indexOf(option);
  return at < 0 ? undefined : process.argv[at + 1];
};
const has = (option: string) => process.argv.includes(option);
const turn = (what: string | number) => void process.stderr.write(`\r${what} `);

const wanted = optionOf("--book");
const folder = optionOf("--write");
if (has("--play")) await play();
if (folder !== undefined) await write(folder);
else if (has("--play") || has("--answers")) await answer();
else await compare();

async function play(): Promise<void> {
  const missing = new Set<string>(entryKinds);
  for (const day of DAYS) {
    const books = await playBooks(day, turn);
    writeBooks(day, books);
    for (const { file } of books)
      for (const { kind } of file.entries as { kind: string }[]) missing.delete(kind);
  }
  const without = missing.size > 0 ? `no line of these kinds: ${[...missing].join(", ")}` : "";
  console.log(`\rplayed anew; ${without || "every kind of line is in them"}`);
}

/** One book, or all. */
function* chosen(number: string | undefined): Generator<OracleBook> {
  let any = false;
  for (const kind of BOOKS)
    for (const book of readBooks(kind))
      if (number === undefined || book.number === Number(number)) {
        any = true;
        yield book;
      }
  if (any) return;
  console.error(`there is no book ${number}: docs/oracle.md says which there are`);
  process.exit(2);
}

async function write(into: string): Promise<void> {
  for (const book of chosen(wanted)) {
    const its = join(into, nameOf(book).replace(" ", "-"));
    mkdirSync(its, { recursive: true });
    for (const [view, text] of Object.entries(await views(book)))
      writeFileSync(join(its, `${fileNameOf(view)}.txt`), readable(text));
    console.log(its);
  }
}

function fileNameOf(view: string): string {
  return view.replaceAll(/[^\w.]+/g, "-").replace(/-$/, "");
}

async function answer(): Promise<void> {
  const answers: Answers = {};
  for (const book of chosen(undefined)) {
    turn(book.number);
    answers[nameOf(book)] = await answersTo(book);
  }
  writeAnswers(answers);
  console.log(`\rwritten down; to be named in docs/oracle.md, with the reason: ${answersDigest()}`);
}

async function compare(): Promise<void> {
  const was = readAnswers();
  let count = 0;
  for (const book of chosen(wanted)) {
    turn(book.number);
    const found = differences(book, was[nameOf(book)], await answersTo(book));
    for (const line of found) console.log(`\r${line}`);
    count += found.length;
  }
  console.log(`\r${count === 0 ? "everything is said as it was" : `${count} views differ`}`);
  process.exitCode = count === 0 ? 0 : 1;
}
