import * as z from "zod/mini";
import { notInherited, opaqueId } from "../book/identity.ts";

/** What a belt test speaks of, beside what any book does. A candidate is never a person here: a person (judge, caller, desk, chief examiner) may hold several roles. */
export const CandidateId = opaqueId.brand<"candidate">();
export type CandidateId = z.infer<typeof CandidateId>;
/** A performance that every judge marks before the first wave, against marks that were agreed for it. */
export const AnchorId = opaqueId.brand<"anchor">();
export type AnchorId = z.infer<typeof AnchorId>;

/** Names within a rubric: lower-case words joined by hyphens, e.g. `rising-block`. */
const slug = z.string().check(z.regex(/^[a-z][a-z0-9-]{0,47}$/), notInherited);

export const RubricId = slug.brand<"rubric">();
export type RubricId = z.infer<typeof RubricId>;
export const SectionId = slug.brand<"section">();
export type SectionId = z.infer<typeof SectionId>;
export const ItemId = slug.brand<"item">();
export type ItemId = z.infer<typeof ItemId>;
export const CriterionId = slug.brand<"criterion">();
export type CriterionId = z.infer<typeof CriterionId>;
export const FaultId = slug.brand<"fault">();
export type FaultId = z.infer<typeof FaultId>;
