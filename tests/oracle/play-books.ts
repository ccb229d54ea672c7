import type { AnyEntry } from "../../src/book/entry.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { refsIn } from "../../src/line/refs-in.ts";
import { Dice } from "../world/dice.ts";
import { admitted } from "./admitted.ts";
import { asFile } from "./as-file.ts";
import { awryDay } from "./days/awry.ts";
import { busyDay } from "./days/busy-hall.ts";
import { lyingDay } from "./days/lying.ts";
import { smoothDay } from "./days/smooth.ts";
import type { DayKind, OracleBook, PlayedDay } from "./oracle-book.ts";

/** How many of each, in the order of their numbers; every third is cut. */
const HOW_MANY: Record<DayKind, number> = { smooth: 67, awry: 67, lying: 66 };
const CUT_EACH = 3;

/** Plays every day of one kind anew. The same code plays the same days. */
export async function playBooks(
  kind: DayKind,
  say: (done: number) => void = () => undefined,
): Promise<OracleBook[]> {
  const first = {
    smooth: 1,
    awry: 1 + HOW_MANY.smooth,
    lying: 1 + HOW_MANY.smooth + HOW_MANY.awry,
  };
  const books: OracleBook[] = [];
  for (let number = first[kind]; books.length < HOW_MANY[kind]; number++) {
    books.push(await playBook(kind, number));
    say(number);
  }
  return books;
}

async function playBook(day: DayKind, number: number): Promise<OracleBook> {
  const dice = new Dice(number, "cut");
  const share = dice.between(0.15, 0.97);
  const cut = number % CUT_EACH === 0 ? share : 1;
  const frame = { number, day, isUnfinished: cut < 1 };
  if (day === "awry" && number % 2 === 0) {
    const { grading, people, entries, sides } = await awryDay(number);
    const some = entries.slice(0, Math.ceil(entries.length * cut));
    return { ...frame, people, file: asFile(grading, some, ofThem(some, sides)) };
  }
  const played = await playedBy[day](number);
  const rounds = played.rounds.slice(0, Math.ceil(played.rounds.length * cut));
  const { grading, people } = played;
  const { entries, sides } = await admitted(grading, rounds);
  const book = { ...frame, people, file: asFile(grading, entries, sides) };
  // On a smooth day everybody is one line after the other: nothing is to be added to the file.
  return day === "smooth" ? book : { ...book, rounds };
}

const playedBy: Record<DayKind, (seed: number) => PlayedDay | Promise<PlayedDay>> = {
  smooth: smoothDay,
  awry: busyDay,
  lying: lyingDay,
};

function ofThem(entries: readonly AnyEntry[], sides: readonly SideRecord[]): SideRecord[] {
  const named = new Set(entries.flatMap((entry) => refsIn(entry).map(({ id }) => id)));
  return sides.filter(({ id }) => named.has(id));
}
