import { fold } from "../../belt-test/scorebook/scorebook.ts";
import { testSides } from "../../belt-test/scorebook/test-sides.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { GradingId, PersonId } from "../../book/identity.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { SideCheck } from "../../line/side-check.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { ErasedLog } from "../store/erased-log.ts";
import { hubPen } from "../test-room/hub-pen.ts";

interface Erasing {
  grading: GradingId;
  /** Candidates and people. */
  abouts: readonly string[];
  nowMs: number;
}

/**
 * Erases people from one test of a store by hand: an entry for each in the chief's name, so that hubs at work and tablets that come back
 * hear of it, then the records; the note beside the store before either.
 * @returns how many records went.
 */
export async function erase(
  store: ScorebookStore,
  log: ErasedLog,
  erasing: Erasing,
): Promise<number> {
  const { grading, abouts, nowMs } = erasing;
  // First: what is gone and noted nowhere would come again with an older copy.
  log.noteAll(abouts.map((about) => ({ grading, about, at: new Date(nowMs).toISOString() })));
  const lines = await sayErased(store, erasing);
  const check = new SideCheck(testSides);
  for (const { entry } of lines) check.note(entry);
  const sides = await store.sides(grading);
  for (const side of sides) check.take(side);
  let gone = 0;
  for (const about of abouts) {
    const misfiled = sides.flatMap(({ id }) => (check.goesWith(id, new Set([about])) ? [id] : []));
    gone += await store.erase(grading, about, misfiled);
  }
  return gone;
}

/** Writes into a book whom it does not say to be erased. @returns its lines before that */
export async function sayErased(
  store: Pick<ScorebookStore, "read" | "append">,
  erasing: Erasing,
): Promise<readonly StoredEntry[]> {
  const { grading } = erasing;
  const lines = await store.read(grading, 0);
  await store.append(grading, entriesAfter(lines, erasing), [], {
    place: lines.at(-1)?.seq ?? 0,
    // A hub at work, or another command, wrote meanwhile.
    decideAgain: (more) => ({ entries: entriesAfter([...lines, ...more], erasing), sides: [] }),
  });
  return lines;
}

/** What is to be written so that the book says it; nothing of whom it says so already. */
function entriesAfter(
  lines: readonly StoredEntry[],
  { grading, abouts, nowMs }: Erasing,
): AnyEntry[] {
  const book = fold(lines.map(({ entry }) => entry));
  const { pen } = hubPen(book, grading, nowMs);
  return abouts
    .filter((about) => !book.erased.has(about))
    .map((about) => pen.write("erased", { about: about as PersonId }));
}
