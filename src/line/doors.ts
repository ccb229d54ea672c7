import * as z from "zod/mini";
import type { FamilySheet } from "../belt-test/feedback/family-sheet.ts";
import { CandidateId } from "../belt-test/identity.ts";
import { Role } from "../belt-test/kinds/body-parts.ts";
import { namesMonths } from "../belt-test/scorebook/retention.ts";
import { type Fault, faultCodes } from "../book/faults.ts";
import { harmless } from "../book/harmless-text.ts";
import { DeviceId, GradingId, PersonId } from "../book/identity.ts";

/*
 * The hub's doors over HTTP: what each is asked, and what it tells. The hub's routes and the tablet's desk are both made from them, and what comes in is parsed on
 * both sides. Keys that this version does not know are left out.
 */

/** @param where  what stands in the path, by name. @param asks  the body. Neither where there is none. */
export interface Door<
  Where extends z.ZodMiniType = z.ZodMiniType,
  Asks extends z.ZodMiniType = z.ZodMiniType,
  Tells extends z.ZodMiniType = z.ZodMiniType,
> {
  method: "GET" | "POST";
  path: `/${string}`;
  where: Where;
  asks: Asks;
  tells: Tells;
}
/** What a door tells. */
export type Told<Which extends keyof typeof doors> = z.infer<(typeof doors)[Which]["tells"]>;

const nothing = z.object({}) as z.ZodMiniType<object, object>;
type Nothing = typeof nothing;
function get<Tells extends z.ZodMiniType>(
  path: Door["path"],
  tells: Tells,
): Door<Nothing, Nothing, Tells>;
function get<Where extends z.ZodMiniType, Tells extends z.ZodMiniType>(
  path: Door["path"],
  tells: Tells,
  where: Where,
): Door<Where, Nothing, Tells>;
function get(path: Door["path"], tells: z.ZodMiniType, where: z.ZodMiniType = nothing): Door {
  return { method: "GET", path, where, asks: nothing, tells };
}
function post<Asks extends z.ZodMiniType, Tells extends z.ZodMiniType>(
  path: Door["path"],
  asks: Asks,
  tells: Tells,
): Door<Nothing, Asks, Tells>;
function post<Asks extends z.ZodMiniType, Tells extends z.ZodMiniType, Where extends z.ZodMiniType>(
  path: Door["path"],
  asks: Asks,
  tells: Tells,
  where: Where,
): Door<Where, Asks, Tells>;
function post(
  path: Door["path"],
  asks: z.ZodMiniType,
  tells: z.ZodMiniType,
  where: z.ZodMiniType = nothing,
): Door {
  return { method: "POST", path, where, asks, tells };
}

const anId = z.string().check(z.regex(/^[0-9a-f]{64}$/));
/** Wall clock of the hub, milliseconds since 1970. */
const moment = z.number();
const inGrading = z.object({ grading: GradingId });
const atDevice = z.object({ grading: GradingId, device: DeviceId });
const AFault = z.object({
  code: z.enum(faultCodes),
  with: z.optional(z.record(z.string(), z.union([z.string(), z.number()]))),
}) as z.ZodMiniType<Fault>;

const State = z.enum(["waiting", "admitted", "refused", "revoked"]);
/** A device at a hub's door, as the chief sees it. */
export const DeviceAtDoor = z.object({
  device: DeviceId,
  name: z.string(),
  wants: Role,
  state: State,
  person: z.optional(PersonId),
  roles: z.optional(z.array(Role)),
  /** It waits until this person says on another tablet of theirs that it is theirs; `again`: nobody answered in time, or that tablet has gone. */
  asked: z.optional(z.object({ person: PersonId, again: z.boolean() })),
  /** Who said that it is not theirs. */
  deniedBy: z.optional(PersonId),
  sinceMs: z.optional(moment),
});
export type DeviceAtDoor = z.infer<typeof DeviceAtDoor>;

/** A belt test that a hub holds for its chief. `title` is absent while nobody has named it. */
const GradingOnHub = z.object({
  grading: GradingId,
  title: z.optional(z.string()),
  date: z.optional(z.string()),
  isExample: z.optional(z.boolean()),
  state: z.optional(z.enum(["planning", "running", "closed"])),
  /** Of a closed test only. */
  entries: z.optional(z.number()),
});
export type GradingOnHub = z.infer<typeof GradingOnHub>;

/** A device on which somebody is chief. */
const ChiefDevice = z.object({
  /** Names it and opens nothing. */
  id: z.string(),
  sinceMs: moment,
  /** By the hub's key, and so of every test; otherwise let in as chief of one. */
  isHubs: z.boolean(),
  isThis: z.boolean(),
  name: z.string(),
  tests: z.readonly(z.array(GradingId)),
});
export type ChiefDevice = z.infer<typeof ChiefDevice>;
const chiefs = z.object({ devices: z.array(ChiefDevice) });

/** Copies that a hub makes of itself. */
const BackupState = z.object({
  folder: z.string(),
  everyMinutes: z.number(),
  /** Newest first. */
  kept: z.readonly(z.array(z.object({ file: z.string(), atMs: moment, bytes: z.number() }))),
  // Earlier hubs do not say these four.
  /** Older stores beside the hub's, by name. */
  beside: z.optional(z.readonly(z.array(z.string()))),
  /** One that holds somebody who was erased since and does not go by itself: the last sound one, one that holds more than the store, or one that could not be read. */
  holding: z.optional(z.nullable(z.string())),
  /** A copy that holds more than the store, as both were when it was looked at: at the start, or when it came into the folder. */
  ahead: z.optional(z.nullable(AFault)),
  /** An older copy that cannot be removed; null where all could. */
  stays: z.optional(z.nullable(AFault)),
  /** Why the last try came to nothing, or that the disk does not answer; null when it did not fail. */
  failed: z.nullable(z.object({ atMs: moment, fault: AFault })),
});
export type BackupState = z.infer<typeof BackupState>;
/** How the hub's own copies stand; null where it makes none. */
const backups = z.object({ backups: z.nullable(BackupState) });

/** How long this school keeps names, and whether they then go by themselves. */
export const RetentionRule = z.object({
  months: z.int().check(z.gte(namesMonths.least), z.lte(namesMonths.most)),
  byItself: z.boolean(),
});
export type RetentionRule = z.infer<typeof RetentionRule>;
/** How long names are kept, and whose are soon due or due. */
const NamesKept = z.object({
  rule: z.object({ months: z.number(), byItself: z.boolean() }),
  tests: z.readonly(
    z.array(
      z.object({
        grading: GradingId,
        title: z.string(),
        /** Days, ISO 8601. */
        date: z.string(),
        due: z.string(),
        state: z.enum(["soon", "due", "kept"]),
        people: z.number(),
        records: z.optional(z.number()),
        daysLeft: z.optional(z.number()),
        /** From when on they go by themselves; null where they do not. */
        goesFromMs: z.nullable(moment),
      }),
    ),
  ),
  /** Tests whose names went by themselves. */
  gone: z.readonly(z.array(z.object({ grading: GradingId, atMs: moment, people: z.number() }))),
});
export type NamesKept = z.infer<typeof NamesKept>;
/** Above the number of tests that a screen shows at once. */
const MOST_SHOWN = 500;

/** A link that opens one released sheet; its token is told once, to whoever made it. */
const SheetLink = z.object({
  id: z.string(),
  grading: z.optional(GradingId),
  candidate: CandidateId,
  madeAtMs: moment,
  expiresAtMs: moment,
});
export type SheetLink = z.infer<typeof SheetLink>;
const links = z.object({ links: z.array(SheetLink) });
/** The page is data that the hub of this app made, and is drawn as it is. */
const Page = z.custom<FamilySheet>((page) => typeof page === "object" && page !== null);

const code = z.object({ code: z.string(), addresses: z.array(z.string()) });

export const doors = {
  /** Whether a hub answers here, and how much it holds; no names. */
  health: get(
    "/health",
    z.object({
      status: z.optional(z.string()),
      version: z.optional(z.string()),
      store: z.optional(z.string()),
      gradings: z.number(),
      entries: z.number(),
    }),
  ),
  /** The first chief shows the key printed in the hub's terminal. */
  claim: post(
    "/api/claim",
    z.object({ key: z.string().check(z.minLength(1), z.maxLength(64)), device: DeviceId }),
    z.object({ token: z.string(), person: PersonId }),
  ),
  makeGrading: post("/api/gradings", atDevice, z.object({ grading: GradingId })),
  /** Every belt test of the chief whose key this device has, the newest first. */
  gradings: get("/api/gradings", z.object({ gradings: z.array(GradingOnHub) })),
  /** Opens the invented example test; its chief is whoever asks. */
  openExample: post(
    "/api/example",
    z.object({ device: DeviceId }),
    z.object({ token: z.string(), grading: GradingId, person: PersonId, title: z.string() }),
  ),
  join: post(
    "/api/join",
    z.object({
      code: z.string().check(z.minLength(1), z.maxLength(32)),
      device: DeviceId,
      name: z.string().check(z.overwrite(harmless), z.trim(), z.minLength(1), z.maxLength(60)),
      wants: Role,
    }),
    z.object({ token: z.string(), grading: GradingId, state: z.optional(State) }),
  ),
  me: get(
    "/api/me",
    z.object({
      ...DeviceAtDoor.shape,
      grading: GradingId,
      device: z.optional(DeviceId),
      name: z.optional(z.string()),
      wants: z.optional(Role),
    }),
  ),
  code: get("/api/gradings/:grading/code", code, inGrading),
  newCode: post("/api/gradings/:grading/code", nothing, code, inGrading),
  devices: get(
    "/api/gradings/:grading/devices",
    z.object({
      devices: z.array(DeviceAtDoor),
      /** Of so many the hub's store holds what cannot be read; absent where of none. */
      damaged: z.optional(z.number()),
    }),
    inGrading,
  ),
  admit: post(
    "/api/gradings/:grading/devices/:device/admit",
    z.object({
      person: z.optional(PersonId),
      /** None: of somebody who is in already, and was taken out of the plan. */
      roles: z.array(Role).check(z.maxLength(4)),
    }),
    z.object({
      state: z.optional(z.enum(["admitted", "asked"])),
      person: z.optional(PersonId),
    }),
    atDevice,
  ),
  refuse: post(
    "/api/gradings/:grading/devices/:device/refuse",
    nothing,
    z.object({ device: DeviceId, state: State }),
    atDevice,
  ),
  revoke: post(
    "/api/gradings/:grading/devices/:device/revoke",
    nothing,
    z.object({ device: DeviceId, state: State }),
    atDevice,
  ),
  /** On which devices somebody is chief at this hub. */
  chiefs: get("/api/chiefs", chiefs),
  /** Ends one of them at once and for good: it reads nothing, writes nothing, and cannot let itself back in. */
  endChief: post("/api/chiefs/:id/end", nothing, chiefs, z.object({ id: anId })),
  backups: get("/api/backups", backups),
  /** Makes one more first. */
  backUp: post("/api/backups", nothing, backups),
  namesKept: get("/api/names-kept", NamesKept),
  chooseNamesKept: post("/api/names-kept", RetentionRule, NamesKept),
  /** Somebody was shown that the names of these tests are due. */
  namesShown: post(
    "/api/names-kept/shown",
    z.object({ gradings: z.array(GradingId).check(z.maxLength(MOST_SHOWN)) }),
    NamesKept,
  ),
  /** Erases everybody that a test names; `isDry` only says how many. */
  eraseNames: post(
    "/api/names-kept/erase",
    z.object({ grading: GradingId, isDry: z.boolean() }),
    z.object({ people: z.number(), records: z.number() }),
  ),
  /**
   * What a device may trust the hub by over TLS; `port` is null where it need not or cannot, `byName` where the hub has no name in the hall;
   * all of it where the hub has no encrypted line. `formerly`: addresses under which the hub was reached before, the newest first.
   */
  trust: get(
    "/api/trust",
    z.object({
      trust: z.nullable(
        z.object({
          name: z.string(),
          fingerprint: z.string(),
          port: z.nullable(z.number()),
          byName: z.optional(z.nullable(z.string())),
          formerly: z.optional(z.readonly(z.array(z.string()))),
        }),
      ),
    }),
  ),
  /** The sheet that a family's link opens. */
  sheet: get("/api/sheet", z.object({ sheet: Page, expiresAtMs: moment })),
  sheetLinks: get("/api/gradings/:grading/sheet-links", links, inGrading),
  makeSheetLink: post(
    "/api/gradings/:grading/sheet-links",
    z.object({
      candidate: CandidateId,
      /** How long the link opens the sheet. */
      days: z._default(z.int().check(z.gte(1), z.lte(90)), 14),
    }),
    z.object({
      link: z.object({ ...SheetLink.shape, token: z.string() }),
      addresses: z.array(z.string()),
    }),
    inGrading,
  ),
  revokeSheetLink: post(
    "/api/gradings/:grading/sheet-links/:link/revoke",
    nothing,
    links,
    z.object({ grading: GradingId, link: anId }),
  ),
} as const;

/** A copy to begin from, and the newest to take away: bytes, no JSON. */
export const copyDoors = {
  bringBack: {
    path: "/api/backups/bring-back",
    tells: z.object({ tests: z.number(), entries: z.number() }),
  },
  newest: { path: "/api/backups/newest" },
} as const;
