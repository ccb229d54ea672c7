import * as z from "zod/mini";
import { TextRef } from "../../book/identity.ts";
import { CandidateId, ItemId, SectionId } from "../identity.ts";
import { kind, ofOne, USUAL } from "./kind-row.ts";

const atDesk = ["chief", "desk"] as const;
/** Whether a child is here. */
const presence = {
  body: z.looseObject({ candidate: CandidateId }),
  writers: atDesk,
  readers: "anyone",
  most: USUAL,
  bearsOn: ofOne,
} as const;

/** What the desk says of who is here. */
export const deskKinds = {
  "checked-in": kind({ ...presence, is: ["in-pack"] }),
  absent: kind({ ...presence, is: ["in-pack", "may-open"] }),
  unfit: kind({
    body: z.looseObject({ candidate: CandidateId, details: z.optional(TextRef) }),
    writers: atDesk,
    readers: "anyone",
    most: USUAL,
    bearsOn: ofOne,
    is: ["in-pack", "may-open"],
  }),
  /** Back to “expected”: the desk pressed the wrong name. */
  expected: kind({ ...presence, is: ["in-pack"] }),
  excused: kind({
    body: z.looseObject({
      candidate: CandidateId,
      section: SectionId,
      item: ItemId,
      /** In books from before: everybody is sent an entry, and why is the chief's to know. */
      why: z.optional(z.catch(z.enum(["age", "accommodation", "chief"]), "chief")),
      reason: z.optional(TextRef),
      /** The item is asked of this child after all. */
      lifted: z.optional(z.literal(true)),
    }),
    writers: atDesk,
    readers: "anyone",
    most: USUAL,
    bearsOn: ofOne,
    is: ["in-pack", "read-otherwise", "of-the-case"],
  }),
} as const;
