import * as z from "zod/mini";
import { Basis } from "../../book/counts.ts";
import { EntryId, PersonId, TextRef } from "../../book/identity.ts";
import { CandidateId, CriterionId, SectionId } from "../identity.ts";
import { Known, ofLook, onFloor, where } from "./body-parts.ts";
import { chief, kind, ofOne, USUAL } from "./kind-row.ts";
import { placeOf } from "./marked-place.ts";

/** What a verdict says. */
export const VerdictResult = z.enum(["pass", "retest"]);
export type VerdictResult = z.infer<typeof VerdictResult>;
/** What marks come to by the rubric's rule. */
const Computed = z.enum(["pass", "retest", "incomplete"]);
export type Computed = z.infer<typeof Computed>;

/** How the chief examiner decides, and what the hub says beside it. */
export const decisionKinds = {
  "floor-cleared": kind({
    body: z.looseObject({
      /** The stops that its writer knew of. Earlier versions did not say. */
      stops: z.optional(Known),
      ...onFloor,
    }),
    writers: ["chief", "caller"],
    readers: "anyone",
    most: USUAL,
    bearsOn: "nobody",
    is: ["after-closing"],
  }),
  /** Opens marks although a judge never locked (a lost tablet); the reason is recorded. */
  revealed: kind({
    body: z.looseObject({
      section: SectionId,
      ...ofLook,
      candidates: z.array(CandidateId),
      reason: TextRef,
      /** What the chief's device held of those who had not locked; only where there is no hub, which says so itself (`held`). */
      basis: z.optional(Basis),
      /** Who they are; whoever had locked is none of them. */
      without: z.optional(z.array(PersonId)),
      /** How far the counts of that child's section had come for the chief's device: what it had then was not late; only where there is no hub. */
      after: z.optional(Basis),
    }),
    writers: chief,
    readers: ["chief", "judge"],
    most: 10_000,
    bearsOn: ({ candidates }) => candidates,
    is: [
      "may-open",
      "of-openings",
      "said-alone",
      "opens-marks",
      "decides",
      "with-held",
      "read-on-the-road",
    ],
  }),
  /** Written by the hub alone: what it held of a judge in one child's section at the moment of `of`, which speaks for a lock that never came. */
  held: kind({
    body: z.looseObject({
      of: EntryId,
      judge: PersonId,
      candidate: CandidateId,
      section: SectionId,
      basis: Basis,
      /** It speaks of a lock that came when the marks were open: it is here, and makes nothing final. */
      late: z.optional(z.boolean()),
      /** By which the hub knows its own word again when it is given back (`held-box.ts`). */
      vouch: z.optional(z.string().check(z.maxLength(64))),
    }),
    // The hub, which asks nobody; a chief's device gives back what a lost hub had written.
    writers: chief,
    readers: { waits: placeOf },
    most: USUAL,
    bearsOn: ofOne,
    is: ["of-openings", "held", "hub's"],
  }),
  /** The same where the marks are closed still, shut away so that only that hub can read it: whoever keeps it gives it back to a hub that has lost it. */
  "held-sealed": kind({
    body: z.looseObject({ of: EntryId, box: z.string().check(z.maxLength(190_000)) }),
    writers: chief,
    readers: chief,
    most: 200_000,
    bearsOn: "nobody",
    is: ["worded", "held", "hub's"],
  }),
  "remark-asked": kind({
    body: z.looseObject({
      judge: PersonId,
      candidate: CandidateId,
      ...where,
      criterion: z.nullable(CriterionId),
      /** `blank`: before reveal, only about blank or not-seen cells. `talk`: after reveal, marks may be given anew. */
      ask: z.enum(["blank", "talk"]),
    }),
    writers: chief,
    readers: { of: ({ judge }) => judge, roles: chief },
    most: USUAL,
    bearsOn: ofOne,
    is: [],
  }),
  /** Settles one question of the review queue, named by its key. */
  "review-settled": kind({
    body: z.looseObject({
      question: z.string().check(z.minLength(1), z.maxLength(300)),
      candidate: CandidateId,
      decision: z.enum(["stands", "struck", "late-counts", "late-refused"]),
      /** Whose marks are struck from the verdict, when the decision is `struck`. */
      judge: z.optional(PersonId),
      reason: TextRef,
      /** What its writer held of that child: a late mark that is not in it was not decided about. */
      basis: z.optional(Basis),
    }),
    writers: chief,
    readers: chief,
    most: 20_000,
    bearsOn: ofOne,
    is: ["chief-has-read"],
  }),
  verdict: kind({
    body: z.looseObject({
      candidate: CandidateId,
      result: VerdictResult,
      retestSections: z.array(SectionId),
      computed: Computed,
      /** Needed when the result is not the computed one, or a question that could change it was open. */
      reason: z.optional(TextRef),
      basis: Basis,
      /** The verdicts of this child that the writer knew, and that it takes the place of: of each device up to which. Earlier versions did not say. */
      after: z.optional(Basis),
      /** The withdrawal of this child that the writer knew of, null for none. Earlier versions did not say. */
      ofWithdrawn: z.optional(z.nullable(EntryId)),
    }),
    writers: chief,
    readers: chief,
    most: 20_000,
    bearsOn: ofOne,
    is: ["after-closing", "decides", "chief-has-read"],
  }),
  "sheet-edited": kind({
    body: z.looseObject({
      candidate: CandidateId,
      /** Chosen lines, by key; absent means the computed ones. */
      strong: z.optional(z.array(z.string().check(z.maxLength(200)))),
      next: z.optional(z.array(z.string().check(z.maxLength(200)))),
      words: z.optional(TextRef),
    }),
    writers: chief,
    readers: chief,
    most: 20_000,
    bearsOn: "nobody",
    is: ["after-closing"],
  }),
  "sheet-released": kind({
    body: z.looseObject({
      candidate: CandidateId,
      /** The verdict that is on it, null for none; of another the sheet is released anew. Earlier versions did not say. */
      of: z.optional(z.nullable(EntryId)),
    }),
    writers: chief,
    readers: ["chief", "desk"],
    most: USUAL,
    bearsOn: "nobody",
    is: ["after-closing"],
  }),
  correction: kind({
    body: z.looseObject({ of: EntryId, reason: TextRef }),
    writers: chief,
    readers: chief,
    most: USUAL,
    bearsOn: "nobody",
    is: ["after-closing"],
  }),
} as const;
