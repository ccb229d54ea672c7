import * as z from "zod/mini";
import { Basis } from "../../book/counts.ts";
import { EntryId, PersonId, TextRef } from "../../book/identity.ts";
import { CandidateId, CriterionId, ItemId, RubricId, SectionId } from "../identity.ts";
import { FaultLibrary } from "../rubric/fault-library.ts";
import { Rubric } from "../rubric/rubric.ts";
import { ofLook, onFloor, Role } from "./body-parts.ts";
import { chief, kind, ofOne, USUAL } from "./kind-row.ts";

/** What a chief's device says itself where there is no hub. */
const heldWithoutHub = {
  basis: z.optional(Basis),
  /** Whose lock that device had not heard of where the marks were open already: one that comes to light later is not in time. */
  unheard: z.optional(
    z.array(
      z.looseObject({
        judge: PersonId,
        section: SectionId,
        candidates: z.array(CandidateId),
      }),
    ),
  ),
};

/** The plan, written by the chief examiner. */
export const planKinds = {
  opened: kind({
    body: z.looseObject({
      title: z.string().check(z.minLength(1), z.maxLength(120)),
      date: z.iso.date(),
      example: z.optional(z.boolean()),
      /** By which rules this book is read for ever; see rules.ts. */
      rules: z.optional(z.int().check(z.gte(1))),
    }),
    writers: chief,
    readers: "anyone",
    most: USUAL,
    bearsOn: "everybody",
    is: ["in-pack", "worded", "of-openings", "of-who-locks"],
  }),
  /** One rubric, frozen for this grading: whole, so that the scorebook explains itself for ever. */
  frozen: kind({
    body: z.looseObject({ rubric: Rubric }),
    writers: chief,
    readers: "anyone",
    // A shipped rubric is about 30,000, and a federation's may have three times the items.
    most: 200_000,
    bearsOn: "everybody",
    is: ["in-pack", "worded", "read-otherwise"],
  }),
  /** The faults, cues and practice words this grading speaks with, whole: a sheet printed years later reads the same. */
  "faults-frozen": kind({
    body: z.looseObject({ library: FaultLibrary }),
    writers: chief,
    readers: "anyone",
    most: 200_000,
    bearsOn: "nobody",
    is: ["in-pack", "worded", "read-otherwise"],
  }),
  "rubric-replaced": kind({
    body: z.looseObject({ rubric: Rubric, reason: TextRef }),
    writers: chief,
    readers: "anyone",
    most: 200_000,
    bearsOn: "everybody",
    is: ["in-pack", "worded", "read-otherwise"],
  }),
  seated: kind({
    body: z.looseObject({ person: PersonId, roles: z.array(Role), details: z.optional(TextRef) }),
    writers: chief,
    readers: "anyone",
    most: USUAL,
    bearsOn: "everybody",
    is: ["after-closing", "in-pack", "said-alone"],
  }),
  /** Which candidates a judge marks in a section; `items` and `criteria` narrow it where a panel splits the work. */
  assigned: kind({
    body: z.looseObject({
      judge: PersonId,
      section: SectionId,
      ...ofLook,
      candidates: z.array(CandidateId),
      items: z.optional(z.array(ItemId)),
      criteria: z.optional(z.array(CriterionId)),
      /** With a wave, the newest entry of this judge, section and wave stands alone, so that a judge can be taken off; without, entries add up. */
      wave: z.optional(z.int().check(z.gte(1), z.lte(99))),
    }),
    writers: chief,
    readers: "anyone",
    // Sixty candidates by their ids.
    most: 20_000,
    bearsOn: "everybody",
    is: [
      "in-pack",
      "may-open",
      "of-openings",
      "said-alone",
      "opens-marks",
      "of-who-locks",
      "of-the-case",
    ],
  }),
  "judge-replaced": kind({
    body: z.looseObject({
      judge: PersonId,
      by: PersonId,
      /** Whose places these were first, by the plan; without it every place that this judge ever had, also one that another has now. */
      places: z.optional(z.array(PersonId)),
      /** There was no hub: the chief's device says itself what it held, in a line that chiefs alone are sent (`held-at-giving`). */
      isHeldBeside: z.optional(z.boolean()),
      // By earlier versions they stood in this line, which everybody is sent.
      ...heldWithoutHub,
    }),
    writers: chief,
    readers: "anyone",
    // As the closing: sixty candidates times seven judges times ten sections are as many counts.
    most: 300_000,
    bearsOn: "everybody",
    is: [
      "in-pack",
      "may-open",
      "of-openings",
      "said-alone",
      "opens-marks",
      "of-who-locks",
      "with-held",
      "read-on-the-road",
      "of-the-case",
    ],
  }),
  /** What the chief's device held when it gave a place away without a hub, of the one replaced and of everybody else. How far others have come where the marks are closed is nobody's to know but the chief's. */
  "held-at-giving": kind({
    body: z.looseObject({ of: EntryId, ...heldWithoutHub }),
    writers: chief,
    readers: chief,
    most: 300_000,
    bearsOn: "everybody",
    is: ["of-openings", "of-who-locks", "read-on-the-road"],
  }),
  entered: kind({
    body: z.looseObject({
      candidate: CandidateId,
      number: z.int().check(z.gte(1), z.lte(9999)),
      rubric: RubricId,
      /** What only chief and desk are sent: family name, year of birth, contact. In books from before it holds the given name too. */
      details: z.optional(TextRef),
      /** Given name and how to say it, a record of its own, so that nobody is sent part of one and a digest of the whole. */
      given: z.optional(TextRef),
      /** Needed where the chief gives another rubric to a child who was called or marked. */
      reason: z.optional(TextRef),
    }),
    writers: ["chief", "desk"],
    readers: "anyone",
    most: USUAL,
    bearsOn: ofOne,
    is: ["in-pack"],
  }),
  /** Who stands in which lane, left to right as seen from the judges' table. */
  "lined-up": kind({
    body: z.looseObject({
      ...onFloor,
      wave: z.int().check(z.gte(1), z.lte(99)),
      lanes: z.array(CandidateId),
    }),
    writers: chief,
    readers: "anyone",
    most: 10_000,
    bearsOn: "nobody",
    is: ["in-pack"],
  }),
  started: kind({
    body: z.looseObject({}),
    writers: chief,
    readers: "anyone",
    most: USUAL,
    bearsOn: "nobody",
    is: ["in-pack"],
  }),
  /** Nothing more is marked. `reason`: needed when something was still open. */
  closed: kind({
    body: z.looseObject({
      reason: z.optional(TextRef),
      /** What the chief's device had of everybody, so that a hub which has lost it can tell what comes again from what comes late. */
      basis: z.optional(Basis),
    }),
    writers: chief,
    readers: "anyone",
    // Without a single verdict sixty candidates times seven judges times ten sections are as many counts.
    most: 300_000,
    bearsOn: "everybody",
    is: ["may-open", "of-openings", "said-alone", "decides", "with-held", "chief-has-read"],
  }),
} as const;
