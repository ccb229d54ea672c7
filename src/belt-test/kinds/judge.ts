import * as z from "zod/mini";
import { Basis } from "../../book/counts.ts";
import { EntryId, TextRef } from "../../book/identity.ts";
import { CandidateId, CriterionId, FaultId, SectionId } from "../identity.ts";
import { answering, Cell, ofLook, together, where } from "./body-parts.ts";
import { chief, judge, kind, ofOne, USUAL } from "./kind-row.ts";
import { placeOf, placesOf } from "./marked-place.ts";

/** What a judge says. */
export const judgeKinds = {
  mark: kind({
    body: z.looseObject({
      ...where,
      ...ofLook,
      /** Of one child; of several only in books of the first rules. */
      cells: z.array(Cell).check(z.minLength(1), z.maxLength(400)),
      /** In which lane the child stood on the glass, counted from 1. */
      lane: z.optional(z.int()),
      /** Of how many levels the scale on the glass was, and which of them is *Meets*; marks of before do not say it. */
      scale: z.optional(z.tuple([z.int(), z.int()])),
      /** The entry this one takes back. */
      undoes: z.optional(EntryId),
      ...together,
      ...answering,
    }),
    writers: judge,
    readers: {
      waits: ({ section, cells }) => cells.map(({ candidate }) => ({ candidate, section })),
    },
    // As large as its cells and what it takes the place of, and old books' speak of a whole line. Of a cell's ids each may have 64 letters.
    most: ({ body, replaces = [] }) => 2_000 + 300 * body.cells.length + 40 * replaces.length,
    bearsOn: ({ cells }) => cells.map(({ candidate }) => candidate),
    is: ["untimed", "of-a-place", "undoing"],
  }),
  overall: kind({
    body: z.looseObject({
      candidate: CandidateId,
      section: SectionId,
      ...ofLook,
      /** 1 clear retest, 2 borderline, 3 pass, 4 strong; null takes it back. */
      judgement: z.nullable(z.int().check(z.gte(1), z.lte(4))),
      /** As of a mark. */
      lane: z.optional(z.int()),
      undoes: z.optional(EntryId),
      ...together,
      ...answering,
    }),
    writers: judge,
    readers: { waits: placeOf },
    most: USUAL,
    bearsOn: ofOne,
    is: ["untimed", "of-a-place", "undoing"],
  }),
  /** The faults seen in one cell; replaces the earlier list. */
  faults: kind({
    body: z.looseObject({
      candidate: CandidateId,
      ...where,
      criterion: CriterionId,
      faults: z.array(FaultId).check(z.maxLength(8)),
      undoes: z.optional(EntryId),
    }),
    writers: judge,
    readers: { waits: placeOf },
    most: USUAL,
    bearsOn: "nobody",
    is: ["untimed", "of-a-place", "undoing"],
  }),
  note: kind({
    body: z.looseObject({ candidate: CandidateId, ...where, text: TextRef }),
    writers: judge,
    readers: { waits: placeOf },
    most: USUAL,
    bearsOn: "nobody",
    is: ["untimed", "of-a-place"],
  }),
  related: kind({
    body: z.looseObject({
      candidate: CandidateId,
      relation: z.catch(z.enum(["own-student", "family", "other"]), "other"),
    }),
    writers: judge,
    readers: chief,
    most: USUAL,
    bearsOn: ofOne,
    is: ["read-otherwise"],
  }),
  recused: kind({
    body: z.looseObject({ candidate: CandidateId, section: z.nullable(SectionId) }),
    writers: judge,
    readers: ["chief", "caller"],
    most: USUAL,
    bearsOn: ofOne,
    is: ["in-pack", "may-open", "of-openings", "opens-marks"],
  }),
  /** “My marks here are final.” `basis`: what of this judge's own devices the lock speaks of; of its own device all that was written before it. */
  locked: kind({
    body: z.looseObject({
      section: SectionId,
      ...ofLook,
      candidates: z.array(CandidateId).check(z.minLength(1), z.maxLength(99)),
      basis: Basis,
    }),
    writers: judge,
    // That somebody has locked is coverage; the lock itself bears a count of taps.
    readers: { waits: placesOf },
    most: 10_000,
    bearsOn: ({ candidates }) => candidates,
    is: ["of-a-place", "may-open", "of-openings", "opens-marks", "decides"],
  }),
  /** “I have looked again.” What was written for the request is in `basis`; what comes later does not answer it. */
  answered: kind({
    body: z.looseObject({
      request: EntryId,
      candidate: CandidateId,
      section: SectionId,
      basis: Basis,
    }),
    writers: judge,
    readers: { waits: placeOf },
    most: USUAL,
    bearsOn: ofOne,
    is: ["of-a-place"],
  }),
} as const;
