import * as z from "zod/mini";
import type { Fault } from "./faults.ts";
import { GradingId, opaqueId, SideRecordId } from "./identity.ts";
import { isPlainJson } from "./plain-json.ts";

/**
 * What names or describes a person, kept beside a book so that it can be erased without breaking the chain.
 * An entry refers to it by id and by the digest SHA-256(salt + RFC 8785 canonical JSON of `body`).
 */
export const SideRecord = z
  .looseObject({
    id: SideRecordId,
    grading: GradingId,
    /** Whom it is about; erasing them erases the record. */
    about: opaqueId,
    /** What its body says, as the book that refers to it has it; one of another year is kept, and shown to nobody. */
    kind: z.string().check(z.minLength(1), z.maxLength(24)),
    salt: z.string().check(z.regex(/^[0-9a-f]{32}$/)),
    body: z.looseObject({}),
  })
  // Whole: what stands in keys that nobody reads is written down and walked through like the rest.
  .check(z.refine(isPlainJson));
export type SideRecord = z.infer<typeof SideRecord>;

/** Letters of a record as JSON: a text of 2,000 of them, each written as an escape. */
const MOST_LETTERS = 12_000;

/** Whether a record is larger than any of ours has reason to be; what no key of ours holds counts too. */
export function sizeFaultOfSide(record: SideRecord): Fault | null {
  const letters = JSON.stringify(record).length;
  return letters > MOST_LETTERS
    ? { code: "ENTRY_TOO_LARGE", with: { letters, most: MOST_LETTERS } }
    : null;
}
