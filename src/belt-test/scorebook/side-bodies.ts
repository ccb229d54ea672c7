import * as z from "zod/mini";
import { harmless, harmlessLines } from "../../book/harmless-text.ts";

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
