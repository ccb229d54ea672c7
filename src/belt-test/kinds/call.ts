import * as z from "zod/mini";
import { EntryId } from "../../book/identity.ts";
import { CandidateId } from "../identity.ts";
import { onFloor, together, where } from "./body-parts.ts";
import { kind, USUAL } from "./kind-row.ts";

/** To everybody on the floor, and of nobody. */
const toTheFloor = kind({
  body: z.looseObject(onFloor),
  writers: ["caller", "chief"],
  readers: "anyone",
  most: USUAL,
  bearsOn: "nobody",
  is: [],
});

/** What is called. */
export const callKinds = {
  /** `item: null` calls for the once-a-section criteria and the overall judgement. */
  called: kind({
    body: z.looseObject({
      wave: z.int().check(z.gte(1), z.lte(99)),
      ...where,
      ...onFloor,
      repeat: z.optional(z.boolean()),
      /** In a `single` section: who is on the floor now. */
      candidates: z.optional(z.array(CandidateId)),
      /** In a `single` section: whose turn it is by the lane they stand in, counted from 1. */
      lane: z.optional(z.int()),
    }),
    writers: ["caller", "chief"],
    readers: "anyone",
    most: 10_000,
    bearsOn: "nobody",
    is: [],
  }),
  paused: toTheFloor,
  resumed: toTheFloor,
  /** Two children stand in each other's place. Names are swapped from here on. */
  "lanes-swapped": kind({
    body: z.looseObject({
      wave: z.int(),
      candidates: z.tuple([CandidateId, CandidateId]),
      /** From which call on; without it the one that was called last. A judge may be a board behind. */
      call: z.optional(z.looseObject(where)),
      /** In which lane each of the two stands from here on, counted from 1: whoever says the same again changes nothing. An app of before says none. */
      lanes: z.optional(z.tuple([z.int(), z.int()])),
      /** A judge's swap, taken back by swapping again. */
      undoes: z.optional(EntryId),
      ...together,
    }),
    writers: ["judge", "caller", "chief"],
    readers: "anyone",
    most: USUAL,
    bearsOn: "nobody",
    is: ["undoing"],
  }),
} as const;
