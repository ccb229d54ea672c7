import * as z from "zod/mini";
import { DeviceId, GradingId, PersonId } from "../book/identity.ts";
import { DevicePresence, Shout } from "./protocol.ts";

const ofGrading = { grading: GradingId };
/** What one hub tells the others on its store. Never what an entry says: that is read from the store. Parsed by whoever hears it: anybody may speak there. */
export const News = z.discriminatedUnion("of", [
  z.object({ of: z.literal("entries"), ...ofGrading, upTo: z.int() }),
  /** The chief's tablet is waited for, or has come. */
  z.object({ of: z.literal("plan"), ...ofGrading }),
  z.object({ of: z.literal("door"), ...ofGrading, device: DeviceId }),
  z.object({ of: z.literal("hubs") }),
  z.object({ of: z.literal("taken-away") }),
  z.object({ of: z.literal("floor"), ...ofGrading, floor: Shout }),
  z.object({ of: z.literal("pace"), ...ofGrading, count: z.int() }),
  z.object({ of: z.literal("presence"), ...ofGrading, person: DevicePresence }),
  z.object({ of: z.literal("who-is-here"), ...ofGrading }),
  /** Whose further device waits at the door: whichever hub this person is on the line at asks them. */
  z.object({
    of: z.literal("door-question"),
    ...ofGrading,
    person: PersonId,
    device: DeviceId,
    name: z.string(),
  }),
  z.object({
    of: z.literal("door-answer"),
    ...ofGrading,
    person: PersonId,
    /** On which device of theirs they said it. */
    on: DeviceId,
    device: DeviceId,
    yes: z.boolean(),
  }),
  /** Told by nobody: the line that news comes by does not answer, or brings what this version cannot read. It may be slow, or deaf; what must be known at once is looked for meanwhile. */
  z.object({ of: z.literal("doubt") }),
]);
export type News = z.infer<typeof News>;
