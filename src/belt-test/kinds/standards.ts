import * as z from "zod/mini";
import { GradingId, PersonId } from "../../book/identity.ts";
import { AnchorId, CriterionId, RubricId, SectionId } from "../identity.ts";
import { anchorMarks, inLevels } from "./body-parts.ts";
import { chief, judge, kind, USUAL } from "./kind-row.ts";

/** What is known of the judges beside the marks of the day. */
export const standardKinds = {
  /** A performance shown to all judges before the first wave; `isOpen: false` takes it back. */
  "anchor-set": kind({
    body: z.looseObject({
      anchor: AnchorId,
      rubric: RubricId,
      section: SectionId,
      isOpen: z.boolean(),
    }),
    writers: chief,
    readers: ["chief", "judge"],
    most: USUAL,
    bearsOn: "nobody",
    is: [],
  }),
  /** The marks that were agreed for it. Judges are not sent them. */
  "anchor-agreed": kind({
    body: z.looseObject({ anchor: AnchorId, marks: anchorMarks }),
    writers: chief,
    // What was agreed, and what others marked, would lead a judge's hand; a chief's too, who judges.
    readers: { ownFirst: ({ anchor }) => anchor },
    most: 80_000,
    bearsOn: "nobody",
    is: [],
  }),
  /** One judge's marks of it; replaces the earlier ones. */
  "anchor-marked": kind({
    body: z.looseObject({ anchor: AnchorId, marks: anchorMarks }),
    writers: judge,
    readers: { ownFirst: ({ anchor }) => anchor },
    most: 80_000,
    bearsOn: "nobody",
    is: [],
  }),
  /** What an earlier test left of a judge, in levels (positive = severe); null forgets it. */
  "severity-kept": kind({
    body: z.looseObject({
      judge: PersonId,
      from: GradingId,
      date: z.iso.date(),
      kept: z.nullable(
        z.looseObject({ severity: inLevels, sd: z.number().check(z.gt(0), z.lte(7)) }),
      ),
    }),
    writers: chief,
    readers: chief,
    most: USUAL,
    bearsOn: "nobody",
    is: [],
  }),
  /** Which of the two the panel's severities are reckoned with. */
  "severities-used": kind({
    body: z.looseObject({ anchors: z.boolean(), history: z.boolean() }),
    writers: chief,
    readers: chief,
    most: USUAL,
    bearsOn: "nobody",
    is: [],
  }),
  /** A judge's own page, as it stood when the chief gave it: sent to that judge and to nobody else. */
  "judge-told": kind({
    body: z.looseObject({
      judge: PersonId,
      standing: z.enum(["too-little", "flat", "severe", "lenient", "like-others"]),
      severity: z.nullable(
        z.looseObject({
          value: inLevels,
          se: z.number().check(z.gte(0)),
          against: z.optional(z.enum(["others", "standard"])),
          isBeyondChance: z.optional(z.boolean()),
          isBeyondCommon: z.optional(z.boolean()),
        }),
      ),
      candidates: z.int().check(z.gte(0)),
      /** Of these candidates, those whom somebody else marked too. */
      shared: z.optional(z.int().check(z.gte(0))),
      marks: z.int().check(z.gte(0)),
      restShare: z.number().check(z.gte(0), z.lte(1)),
      sameShare: z.number().check(z.gte(0), z.lte(1)),
      /** Absent where it cannot be told. */
      pace: z.optional(
        z.looseObject({
          places: z.int().check(z.gte(0)),
          medianSeconds: z.number().check(z.gte(0)),
          quickShare: z.number().check(z.gte(0), z.lte(1)),
          isHasty: z.boolean(),
        }),
      ),
      odd: z.optional(
        z
          .array(
            z.looseObject({
              name: z.enum(["own-students", "drift", "compressed", "halo", "criterion"]),
              value: inLevels,
              criterion: z.optional(CriterionId),
            }),
          )
          .check(z.maxLength(9)),
      ),
      drift: z
        .array(z.looseObject({ wave: z.int(), apart: inLevels, cells: z.int().check(z.gte(0)) }))
        .check(z.maxLength(99)),
    }),
    writers: chief,
    // A judge's own page goes to that judge, and to no other.
    readers: { of: ({ judge }) => judge, roles: chief },
    most: 20_000,
    bearsOn: "nobody",
    is: ["after-closing"],
  }),
} as const;
