import type { Role } from "../belt-test/kinds/body-parts.ts";
import type { DeviceId, GradingId, PersonId } from "../book/identity.ts";

type DoorState = "waiting" | "admitted" | "refused" | "revoked";

/** A device at the door of one grading. */
export interface DeviceRow {
  grading: GradingId;
  device: DeviceId;
  name: string;
  wants: Role;
  state: DoorState;
  person: PersonId | null;
  roles: Role[];
  tokenHash: string;
  /** Where it knocked from, so that nobody else takes its place while it waits. */
  address: string;
  sinceMs: number;
}
/** A device that came in as the hub's chief, also for tests that are not made yet. */
export interface ChiefRow {
  tokenHash: string;
  device: DeviceId;
  person: PersonId;
  sinceMs: number;
}
export interface GradingRow {
  grading: GradingId;
  code: string;
  madeBy: PersonId;
}
/** How a device stands at the door from now on; what is left out stays as it is. */
export interface Decision {
  state: DoorState;
  person?: PersonId;
  roles?: readonly Role[];
}

/** At once, where the table is in this process; soon, where it is elsewhere. */
type Soon<T> = T | Promise<T>;

/**
 * Who may come in: rows and nothing else; the rules are the front desk's. Every adapter passes tests/contracts/door-tables.contract.ts.
 * Each call is whole or not at all, also while other processes work on the same tables; secrets come here as hashes.
 */
export interface DoorTables {
  setting(name: string): Soon<string | undefined>;
  /** Every setting whose name begins so. */
  settings(prefix: string): Soon<{ name: string; value: string }[]>;
  keepSetting(name: string, value: string): Soon<void>;
  /** Keeps a value where there is none. @returns the one that stands, whoever came first. */
  settleSetting(name: string, value: string): Soon<string>;
  /** Removes a setting that has this value. @returns whether it was this very call that removed it. */
  takeSetting(name: string, value: string): Soon<boolean>;

  chief(tokenHash: string): Soon<{ person: PersonId; device: DeviceId } | undefined>;
  keepChief(tokenHash: string, device: DeviceId, person: PersonId, nowMs: number): Soon<void>;
  /** Oldest first. */
  chiefs(): Soon<ChiefRow[]>;
  /** This token is no chief's any more, and out of every grading. @returns the devices that came in with it, as they stand then. */
  endToken(tokenHash: string): Soon<DeviceRow[]>;

  grading(grading: GradingId): Soon<GradingRow | undefined>;
  gradingByCode(code: string): Soon<GradingRow | undefined>;
  /** Newest first. */
  gradings(): Soon<GradingRow[]>;
  /** Keeps a grading that is not kept yet; one that is stays as it was. @returns false when its code is another's. */
  makeGrading(row: GradingRow, nowMs: number): Soon<boolean>;
  /** @returns false when the code is another's. */
  changeCode(grading: GradingId, code: string): Soon<boolean>;

  device(grading: GradingId, device: DeviceId): Soon<DeviceRow | undefined>;
  /** Newest first. */
  devicesByToken(tokenHash: string): Soon<DeviceRow[]>;
  /** Oldest first. */
  devices(grading: GradingId): Soon<DeviceRow[]>;
  keepDevice(row: DeviceRow): Soon<void>;
  /** Puts a device at the door, but not in the place of one that is or was in, or that waits from elsewhere: what bears its name is its own. @returns whether it waits now. */
  knock(row: DeviceRow): Soon<boolean>;
  /** Changes how a device stands, never what it knocked with. @returns the row as it is then, or undefined where there is none. */
  decide(grading: GradingId, device: DeviceId, decision: Decision): Soon<DeviceRow | undefined>;
  /** What this person's devices were called is forgotten; without a person, what anybody's were, let in or not. */
  forgetNames(grading: GradingId, person?: string): Soon<void>;
  /** The same of these devices, at once; they may be nobody's, having knocked and never been let in. */
  forgetDevices(grading: GradingId, devices: readonly DeviceId[]): Soon<void>;
}
