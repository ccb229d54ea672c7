import * as z from "zod/mini";
import { CandidateId, CriterionId, ItemId, SectionId } from "../belt-test/identity.ts";
import { Known, Role } from "../belt-test/kinds/body-parts.ts";
import { Side } from "../belt-test/rubric/rubric.ts";
import { faultCodes } from "../book/faults.ts";
import { CountId, DeviceId, EntryId, GradingId, PersonId } from "../book/identity.ts";
import { SideRecord } from "../book/side-record.ts";
import { SignedHead } from "../book/signed-head.ts";

/** Raised when a frame changes its meaning; a hub and a tablet of different numbers say so and lose nothing. */
export const PROTOCOL = 2;
/** Bytes of one frame, either way. A whole rubric is about 30 kB. */
export const MAX_FRAME_BYTES = 512 * 1024;
/** Entries in one append or feed frame. */
export const MAX_BATCH = 200;

/** Entries travel as JSON and are read one by one with `readEntry`, so that one bad entry never hides the others. */
const entries = z.array(z.unknown()).check(z.maxLength(MAX_BATCH));
/** More records than lines may come from a side of before, which counted its lines alone. */
const MOST_RECORDS = 5 * MAX_BATCH;
/** Names and texts too: one that cannot be read is left out, and what refers to it is refused by itself. */
const sides = z.pipe(
  z.array(z.unknown()).check(z.maxLength(MOST_RECORDS)),
  z.transform((all) =>
    all.flatMap((one) => {
      const read = SideRecord.safeParse(one);
      return read.success ? [read.data] : [];
    }),
  ),
);
const runs = z.array(z.tuple([z.int(), z.int()]));
const fault = z.object({
  code: z.enum(faultCodes),
  with: z.optional(z.record(z.string(), z.union([z.string(), z.number()]))),
});

/** What a tablet says. Read by hubs alone: made so that a tablet's first script goes without it. */
export const FromTablet = /* @__PURE__ */ (() =>
  z.discriminatedUnion("frame", [
    z.object({
      frame: z.literal("hello"),
      protocol: z.int(),
      token: z.string().check(z.minLength(20), z.maxLength(200)),
      grading: GradingId,
      device: DeviceId,
      /** The feed this cursor counts in; another feed id starts from 0. */
      feed: z.optional(z.string().check(z.maxLength(100))),
      cursor: z.int().check(z.gte(0)),
      /** The link of the chain that came with this cursor: a hub whose book went another way since sends everything again. */
      link: z.optional(z.string().check(z.maxLength(64))),
      /** The highest logical time this device has heard. Of a chief's device the hub believes it: its book may be an older copy. */
      lamport: z.optional(z.int().check(z.gte(0))),
    }),
    /** A line that comes again bears the hub's `receipt` for it, see `withReceipt`. */
    z.object({ frame: z.literal("append"), entries, sides: z.optional(sides) }),
    /** The count on the floor, from the caller; heard once and forgotten. */
    z.object({ frame: z.literal("pace"), count: z.int().check(z.gte(0), z.lte(60)) }),
    /** How much this tablet still holds, so that the chief sees who is behind. */
    z.object({ frame: z.literal("holding"), unsent: z.int().check(z.gte(0)) }),
    /** A stop, or that the floor is clear, before it is on this tablet's own disk: told to everybody, not kept and not acknowledged. */
    z.object({ frame: z.literal("floor"), entry: z.unknown() }),
    /** Whether a further device is this person's: the answer to `door-questions`. */
    z.object({ frame: z.literal("door-answer"), device: DeviceId, yes: z.boolean() }),
    z.object({ frame: z.literal("ping") }),
  ]))();
export type FromTablet = z.infer<typeof FromTablet>;

/** How far a judge is with one child in one section; never which level, nor, before all is filled, which cells. */
export const Coverage = z.object({
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
  state: z.enum(["nothing", "begun", "filled", "locked"]),
  /** Cells of which the judge said “not seen”: told when all is filled, since the chief may ask about them. */
  notSeen: z.array(
    z.object({ item: z.nullable(ItemId), side: z.nullable(Side), criterion: CriterionId }),
  ),
});
export type Coverage = z.infer<typeof Coverage>;

/** Whether a judge is done with a call, for every child of theirs on the floor. */
export const DoneCall = z.object({
  judge: PersonId,
  wave: z.int(),
  section: SectionId,
  item: z.nullable(ItemId),
  side: z.nullable(Side),
  /** Where one child performs alone: which. */
  alone: z.nullable(CandidateId),
  done: z.boolean(),
});
export type DoneCall = z.infer<typeof DoneCall>;
export interface CoverageNews {
  work: readonly Coverage[];
  calls: readonly DoneCall[];
}

export const DevicePresence = z.object({
  device: DeviceId,
  person: PersonId,
  roles: z.array(Role),
  online: z.boolean(),
  /** When it came, or left. Wall clock of the hub, milliseconds since 1970. */
  lastSeenAtMs: z.int(),
  /** Whether something waits on the device, and has for a while: 0 or 1. How much, or each time, would tell how often a judge has tapped. */
  unsent: z.int(),
});
export type DevicePresence = z.infer<typeof DevicePresence>;

/** Somebody at the door: a device that gave the right code and waits for the chief. */
export const Waiting = z.object({
  device: DeviceId,
  name: z.string(),
  wants: Role,
  sinceMs: z.int(),
});
export type Waiting = z.infer<typeof Waiting>;

/** A device at the door that says to be this person's, who is asked; called as it knocked. */
export const DoorQuestion = z.object({ device: DeviceId, name: z.string() });
export type DoorQuestion = z.infer<typeof DoorQuestion>;

/** A stop, or that the floor is clear, as it was shouted: heard before it is on the hub's disk, and also where that is full. */
export const Shout = z.object({
  stopped: z.boolean(),
  /** The entry that says so for good. */
  entry: EntryId,
  by: PersonId,
  at: z.int(),
  lamport: z.int(),
  /** Written with no hub in reach: told later than it was. */
  alone: z.optional(z.boolean()),
  /** Where the floor is clear: of which stops. */
  stops: z.optional(Known),
});
export type Shout = z.infer<typeof Shout>;

/** What the hub says. */
export const FromHub = z.discriminatedUnion("frame", [
  z.object({
    frame: z.literal("welcome"),
    protocol: z.int(),
    person: PersonId,
    roles: z.array(Role),
    feed: z.string(),
    /** False: the cursor was of another feed, and this one is sent from its beginning. */
    resumed: z.boolean(),
    /** The hub was put back from an older copy, and this device has not handed in since what the one before had of it. */
    putBack: z.optional(z.boolean()),
    /** Where this feed ends now: until its cursor is there, the tablet is catching up. */
    upTo: z.optional(z.int()),
    /** Which numbers of this device's own count are on the hub's disk, and of every count of it, by name. A hub put back from a copy may have lost some. */
    holds: z.optional(runs),
    holdsByCount: z.optional(z.record(CountId, runs)),
  }),
  /** `cursor` is the place in this recipient's own feed after these entries. */
  z.object({
    frame: z.literal("entries"),
    entries,
    sides: z.optional(sides),
    cursor: z.int(),
    /** The link of the chain at that place; the tablet gives it back with the cursor. */
    link: z.optional(z.string()),
  }),
  /** These are on the hub's disk. `receipts`, in the same order: what is handed in with each of them to a hub that was put back from an older copy. */
  z.object({
    frame: z.literal("ack"),
    ids: z.array(EntryId),
    receipts: z.optional(z.array(z.string())),
  }),
  z.object({ frame: z.literal("refuse"), id: z.nullable(EntryId), fault }),
  z.object({
    frame: z.literal("coverage"),
    work: z.array(Coverage),
    calls: z.array(DoneCall),
    whole: z.boolean(),
  }),
  z.object({ frame: z.literal("presence"), people: z.array(DevicePresence) }),
  z.object({ frame: z.literal("waiting"), devices: z.array(Waiting) }),
  /** Every open question; none: all are answered. A tablet of another year lets it pass, and its chief presses again after a minute. */
  z.object({ frame: z.literal("door-questions"), devices: z.array(DoorQuestion) }),
  z.object({ frame: z.literal("pace"), count: z.int() }),
  /** Every hub that serves this test, the one that says so first: origins to go on at when this one is away. */
  z.object({
    frame: z.literal("hubs"),
    addresses: z.array(z.string().check(z.maxLength(200))).check(z.maxLength(50)),
  }),
  z.object({ frame: z.literal("pong") }),
  /** Where the hub's chain stands, for safe keeping. A tablet of another year lets it pass. */
  z.object({ frame: z.literal("head"), head: SignedHead }),
  /** Goes to everybody on the line at once; the entry follows. A tablet of another year lets it pass and hears the entry. */
  z.object({ frame: z.literal("floor"), floor: Shout }),
  /** The last frame before the hub closes the line. */
  z.object({ frame: z.literal("bye"), fault }),
]);
export type FromHub = z.infer<typeof FromHub>;
