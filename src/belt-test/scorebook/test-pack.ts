import * as z from "zod/mini";
import type { AnyEntry } from "../../book/entry.ts";
import { GradingId } from "../../book/identity.ts";
import { SideRecord } from "../../book/side-record.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import { givenPart } from "./candidate-details.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * A belt test on its way to a hall without a hub: the plan (rubrics, numbers and given names, panel, assignments), and no marks.
 * Opened on each tablet, so that ids agree; the scorebooks travel back as files and are merged on the chief's device.
 */
export const TestPack = z.strictObject({
  format: z.literal("evenhand-test-pack"),
  /** The first form had no check sum. */
  version: z.union([z.literal(1), z.literal(2)]),
  /** SHA-256, hex, over the canonical JSON of all the rest. */
  sum: z.optional(z.string().check(z.regex(/^[0-9a-f]{64}$/))),
  grading: GradingId,
  entries: z.array(z.unknown()),
  sides: z.array(SideRecord),
});
export type TestPack = z.infer<typeof TestPack>;

/** What a tablet writes when its part travels as a file: same shape, other name, marks included. */
export const isPlanning = ({ kind }: AnyEntry): boolean => planning.has(kind);
const planning = kindsThatAre("in-pack");

/** The pack of a book, not sealed yet: the plan as it stands, with names cut down to what judges may see. */
export function testPack(book: Scorebook, sides: Iterable<SideRecord>): Omit<TestPack, "sum"> {
  const entries = [...book.entries()].filter(isPlanning);
  const grading = entries[0]?.grading;
  if (!grading) throw new RangeError("testPack: the book has no plan yet");
  const cut = [...sides].flatMap((record): SideRecord[] => {
    if (record.kind === "person") return [record];
    if (record.kind !== "candidate") return [];
    const part = givenPart(record);
    return part ? [part] : [];
  });
  return { format: "evenhand-test-pack", version: 2, grading, entries, sides: cut };
}
