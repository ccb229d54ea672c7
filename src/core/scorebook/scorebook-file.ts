import * as z from "zod/mini";
import { GradingId, PersonId } from "../identity.ts";
import type { AnyEntry } from "./entry.ts";
import { SideRecord } from "./side-record.ts";
import { SignedHead } from "./signed-head.ts";

/**
 * A scorebook on its way as a file: what one device holds of a grading, or a hub's whole copy.
 * Entries are read one by one with `readEntry`, so that one bad line never hides the others.
 */
export const ScorebookFile = z.strictObject({
  format: z.literal("evenhand-scorebook"),
  version: z.literal(1),
  grading: GradingId,
  /** Whose device wrote it; absent in a hub's copy. */
  person: z.optional(PersonId),
  entries: z.array(z.unknown()),
  sides: z.array(SideRecord),
  /** Where the hub's chain stood, as it told the device. */
  heads: z.optional(z.array(SignedHead).check(z.maxLength(64))),
});
export type ScorebookFile = z.infer<typeof ScorebookFile>;

/** A scorebook as a file: entries of every device by its own count, so that the same book always gives the same file. */
export function scorebookFile(
  grading: GradingId,
  entries: Iterable<AnyEntry>,
  sides: Iterable<SideRecord>,
  person?: PersonId,
  heads: readonly SignedHead[] = [],
): ScorebookFile {
  const device = ({ device }: AnyEntry) => device;
  return {
    format: "evenhand-scorebook",
    version: 1,
    grading,
    ...(person === undefined ? {} : { person }),
    entries: [...entries].sort((a, b) =>
      device(a) === device(b) ? a.n - b.n : device(a) < device(b) ? -1 : 1,
    ),
    sides: [...sides].sort((a, b) => (a.id < b.id ? -1 : 1)),
    ...(heads.length > 0 ? { heads: [...heads] } : {}),
  };
}
