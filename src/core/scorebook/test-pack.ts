import * as z from "zod/mini";
import { GradingId } from "../identity.ts";
import { type AnyEntry, isKnown } from "./entry.ts";
import type { Scorebook } from "./scorebook.ts";
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
    const { given, sounds } = record.body;
    return [{ ...record, body: { given, ...(sounds === undefined ? {} : { sounds }) } }];
  });
  return { format: "evenhand-test-pack", version: 1, grading, entries, sides: cut };
}
