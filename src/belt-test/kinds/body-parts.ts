import * as z from "zod/mini";
import { EntryId } from "../../book/identity.ts";
import { CandidateId, CriterionId, ItemId, SectionId } from "../identity.ts";
import { Side } from "../rubric/rubric.ts";

export const Role = z.enum(["judge", "caller", "desk", "chief"]);
export type Role = z.infer<typeof Role>;

/**
 * What a judge says of one cell: a level of the scale (1 is the lowest), `not-seen` (a judgement: I did not see it),
 * or `cleared` (blank again). Blank is blank: a cell nobody wrote has no mark at all.
 */
export const MarkValue = z.union([
  z.int().check(z.gte(1), z.lte(7)),
  z.literal("not-seen"),
  z.literal("cleared"),
]);
export type MarkValue = z.infer<typeof MarkValue>;
/** `tapped`: this very cell was chosen. `rest`: confirmed by “rest meets”, and carries less information. */
export const How = z.enum(["tapped", "rest"]);
export type How = z.infer<typeof How>;

export const Cell = z.looseObject({
  candidate: CandidateId,
  criterion: CriterionId,
  level: MarkValue,
  how: How,
});

/** On which floor of the hall. There is one today; a line of another is never read as one of this. */
export const onFloor = { floor: z.optional(z.literal(1)) };
/** Of which look of the panel at a child's section. There is one today; a line of another is never read as one of this. */
export const ofLook = { look: z.optional(z.literal(1)) };

/** The place a mark is for. `item: null` is a criterion marked once a section. */
export const where = { section: SectionId, item: z.nullable(ItemId), side: z.nullable(Side) };

/** Marks of an anchor performance: one section of one rubric, nobody's test. */
export const anchorMarks = z
  .array(
    z.looseObject({
      item: z.nullable(ItemId),
      side: z.nullable(Side),
      criterion: CriterionId,
      level: z.int().check(z.gte(1), z.lte(7)),
    }),
  )
  .check(z.maxLength(400));
export const inLevels = z.number().check(z.gte(-7), z.lte(7));

/** So many lines of before are named in one at most: it stays as short as any. */
export const MOST_KNOWN = 80;
/** The lines that its writer knew of and that it ends; see until-ended.ts. */
export const Known = z.array(EntryId).check(z.maxLength(MOST_KNOWN));

/** Entries that one act wrote, such as “rest of line”: one a child, taken back as one. */
export const together = { batch: z.optional(z.string().check(z.minLength(1), z.maxLength(64))) };
/** After a lock a mark counts only where it answers this request. */
export const answering = { answers: z.optional(EntryId) };
