import * as z from "zod/mini";
import { GradingId, type PersonId } from "../identity.ts";
import { givenPart } from "./candidate-details.ts";
import { type AnyEntry, isKnown, readEntry } from "./entry.ts";
import { refusal } from "./permit.ts";
import { fold, type Scorebook } from "./scorebook.ts";
import { SideRecord } from "./side-record.ts";

/**
 * A belt test on its way to a hall without a hub: the plan (rubrics, numbers and given names, panel, assignments), and no marks.
 * Opened on each tablet, so that ids agree; the scorebooks travel back as files and are merged on the chief's device.
 */
export const TestPack = z.strictObject({
  format: z.literal("evenhand-test-pack"),
  version: z.literal(1),
  grading: GradingId,
  entries: z.array(z.unknown()),
  sides: z.array(SideRecord),
});
export type TestPack = z.infer<typeof TestPack>;

/** What a tablet writes when its part travels as a file: same shape, other name, marks included. */
export const isPlanning = (entry: AnyEntry): boolean =>
  isKnown(entry) &&
  [
    "opened",
    "frozen",
    "faults-frozen",
    "rubric-replaced",
    "seated",
    "assigned",
    "judge-replaced",
    "entered",
    "lined-up",
    "started",
    "checked-in",
    "absent",
    "unfit",
    "expected",
    "excused",
    "recused",
  ].includes(entry.kind);

/** The pack of a book: the plan as it stands, with names cut down to what judges may see. */
export function testPack(book: Scorebook, sides: Iterable<SideRecord>): TestPack {
  const entries = [...book.entries()].filter(isPlanning);
  const grading = entries[0]?.grading;
  if (!grading) throw new RangeError("testPack: the book has no plan yet");
  const cut = [...sides].flatMap((record): SideRecord[] => {
    if (record.kind === "person") return [record];
    if (record.kind !== "candidate") return [];
    const part = givenPart(record);
    return part ? [part] : [];
  });
  return { format: "evenhand-test-pack", version: 1, grading, entries, sides: cut };
}

export interface Merged {
  /** What a book may take, oldest first of each device. */
  taken: AnyEntry[];
  /** Lines not taken, with their place in the file and why. */
  refused: { index: number; code: string }[];
}

/**
 * What a chief's book may take from a scorebook file that came back: from each file only what its person may write.
 * @param person whose tablet the file came from; entries by others that the book does not hold already are refused.
 * The book itself is not changed: `taken` is stored first, then added.
 */
export function mergeable(
  book: Scorebook,
  file: { grading: GradingId; entries: readonly unknown[] },
  person: PersonId,
): Merged {
  const merged: Merged = { taken: [], refused: [] };
  const trial = fold(book.entries());
  const roles = book.seat(person)?.roles ?? [];
  for (const [index, json] of file.entries.entries()) {
    const read = readEntry(json);
    if (read.ok && trial.entry(read.entry.id)) continue;
    const code = !read.ok
      ? "ENTRY_MALFORMED"
      : read.entry.grading !== file.grading
        ? "GRADING_OTHER"
        : refusal(trial, { person, roles }, read.entry)?.code;
    if (read.ok && code === undefined) {
      trial.add(read.entry);
      merged.taken.push(read.entry);
    } else {
      merged.refused.push({ index, code: code ?? "ENTRY_MALFORMED" });
    }
  }
  return merged;
}
