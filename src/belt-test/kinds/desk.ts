import * as z from "zod/mini";
import { CandidateId, ItemId, SectionId } from "../identity.ts";
import { TextRef } from "./body-parts.ts";
import { chief, kind, ofOne, USUAL } from "./kind-row.ts";

/** What the desk says of who is here. */
export const deskKinds = {
  "checked-in": kind({
    body: z.looseObject({ candidate: CandidateId }),
    writers: ["chief", "desk"],
    readers: "anyone",
    most: USUAL,
    bearsOn: ofOne,
    is: ["in-pack"],
  }),
  absent: kind({
    body: z.looseObject({ candidate: CandidateId }),
    writers: ["chief", "desk"],
    readers: "anyone",
    most: USUAL,
    bearsOn: ofOne,
    is: ["in-pack", "may-open"],
  }),
  unfit: kind({
    body: z.looseObject({ candidate: CandidateId, details: z.optional(TextRef) }),
    writers: ["chief", "desk"],
    readers: "anyone",
    most: USUAL,
    bearsOn: ofOne,
    is: ["in-pack", "may-open"],
  }),
  /** Back to “expected”: the desk pressed the wrong name. */
  expected: kind({
    body: z.looseObject({ candidate: CandidateId }),
    writers: ["chief", "desk"],
    readers: "anyone",
    most: USUAL,
    bearsOn: ofOne,
    is: ["in-pack"],
  }),
  excused: kind({
    body: z.looseObject({
      candidate: CandidateId,
      section: SectionId,
      item: ItemId,
      /** In books from before: everybody is sent an entry, and why is the chief's to know. */
      why: z.optional(z.catch(z.enum(["age", "accommodation", "chief"]), "chief")),
      reason: z.optional(TextRef),
    }),
    writers: ["chief", "desk"],
    readers: "anyone",
    most: USUAL,
    bearsOn: ofOne,
    is: ["in-pack", "read-otherwise"],
  }),
} as const;
