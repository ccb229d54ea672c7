import * as z from "zod/mini";
import { DeviceId, PersonId, TextRef } from "../../book/identity.ts";
import { CandidateId } from "../identity.ts";
import { Known } from "./body-parts.ts";
import { chief, kind, ofOne, USUAL } from "./kind-row.ts";

/** What everybody admitted may say, and what is written for everybody. */
export const anyoneKinds = {
  /** Stops every floor, whatever it says of one. */
  stopped: kind({
    body: z.looseObject({
      wave: z.nullable(z.int()),
      /** Written with no hub in reach: nobody else was told then. */
      alone: z.optional(z.catch(z.boolean(), false)),
    }),
    writers: "anyone",
    readers: "anyone",
    most: USUAL,
    bearsOn: "nobody",
    is: ["out-of-turn"],
  }),
  incident: kind({
    body: z.looseObject({ candidate: z.optional(CandidateId), text: TextRef }),
    writers: "anyone",
    readers: chief,
    most: USUAL,
    bearsOn: "nobody",
    is: ["out-of-turn"],
  }),
  /** Without penalty, whenever somebody says so; null takes it back. */
  withdrawn: kind({
    body: z.looseObject({
      candidate: CandidateId,
      why: z.catch(z.nullable(z.enum(["hurt", "unwell", "own-wish"])), "own-wish"),
      /** Where it takes back: which withdrawals of this child its writer knew of. Earlier versions did not say. */
      withdrawals: z.optional(z.catch(Known, [])),
    }),
    writers: "anyone",
    readers: "anyone",
    most: USUAL,
    bearsOn: ofOne,
    is: ["out-of-turn", "may-open", "read-otherwise"],
  }),
  /** Names and texts about this person are to be forgotten wherever they are kept; marks and verdicts stay, under the number alone. */
  erased: kind({
    body: z.looseObject({ about: z.union([CandidateId, PersonId]) }),
    writers: chief,
    // Whoever holds a name has to forget it.
    readers: "anyone",
    most: USUAL,
    bearsOn: "nobody",
    is: ["after-closing"],
  }),
  /** Written by the hub alone: a further device came in as somebody who had one in this test already, or the same one came in again. */
  "let-in": kind({
    body: z.looseObject({
      person: PersonId,
      device: DeviceId,
      /** Whose word at the door it was. */
      decidedBy: PersonId,
      /** The person said yes to it on a device of theirs that was on the line. */
      agreed: z.optional(z.catch(z.boolean(), false)),
    }),
    // The hub alone: see isHubsWord.
    writers: [],
    // Whoever it was done in the name of is told, and whoever answers for the door.
    readers: { of: ({ person }) => person, roles: chief },
    most: USUAL,
    bearsOn: "nobody",
    is: ["hub's"],
  }),
} as const;
