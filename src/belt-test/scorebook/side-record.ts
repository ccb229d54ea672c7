import * as z from "zod/mini";
import type { Fault } from "../../book/faults.ts";
import { harmless, harmlessLines } from "../../book/harmless-text.ts";
import { GradingId, PersonId, SideRecordId } from "../../book/identity.ts";
import { isPlainJson } from "../../book/plain-json.ts";
import { CandidateId } from "../identity.ts";

/**
 * What names or describes a person, kept beside the scorebook so that it can be erased without breaking the chain.
 * An entry refers to it by id and by the digest SHA-256(salt + RFC 8785 canonical JSON of `body`).
 */
export const SideRecord = z
  .looseObject({
    id: SideRecordId,
    grading: GradingId,
    /** Whom it is about; erasing that candidate or person erases the record. */
    about: z.union([CandidateId, PersonId]),
    kind: z.enum(["candidate", "person", "text", "health"]),
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

const name = z.string().check(z.overwrite(harmless), z.trim(), z.minLength(1), z.maxLength(80));

/** kind `candidate`. Judges are sent `given` only. */
export const CandidateDetails = z.looseObject({
  given: name,
  family: z.optional(name),
  /** How to say it, for the caller. */
  sounds: z.optional(name),
  birthYear: z.optional(z.int().check(z.gte(1900), z.lte(2100))),
  contact: z.optional(z.string().check(z.maxLength(200))),
});
export type CandidateDetails = z.infer<typeof CandidateDetails>;

/** kind `person`: somebody of the panel, the desk or the caller. */
export const PersonDetails = z.looseObject({ name });
export type PersonDetails = z.infer<typeof PersonDetails>;

/** kinds `text` and `health`: a note, a reason, an incident; why somebody is not fit today. */
export const FreeText = z.looseObject({
  text: z.string().check(z.overwrite(harmlessLines), z.trim(), z.minLength(1), z.maxLength(2000)),
});
export type FreeText = z.infer<typeof FreeText>;
