import type { FamilySheet } from "../../belt-test/feedback/family-sheet.ts";
import type { CandidateId } from "../../belt-test/identity.ts";
import type { Role } from "../../belt-test/kinds/body-parts.ts";
import type { TitlePage } from "../../belt-test/scorebook/title-page.ts";
import type { Fault } from "../../book/faults.ts";
import type { DeviceId, GradingId, PersonId } from "../../book/identity.ts";

/** A device at a hub's door, as the chief sees it. */
export interface DeviceAtDoor {
  device: DeviceId;
  name: string;
  wants: Role;
  state: "waiting" | "admitted" | "refused" | "revoked";
  person?: PersonId;
  roles?: Role[];
  /** It waits until this person says on another tablet of theirs that it is theirs; `again`: nobody answered in time, or that tablet has gone. */
  asked?: { person: PersonId; again: boolean };
  /** Who said that it is not theirs. */
  deniedBy?: PersonId;
}
/** A belt test that a hub holds for its chief. `title` is absent while nobody has named it. */
export interface GradingOnHub extends Partial<TitlePage> {
  grading: GradingId;
  /** Of a closed test only. */
  entries?: number;
}
/** Copies that a hub makes of itself. Times are the hub's wall clock, milliseconds since 1970. */
export interface BackupState {
  folder: string;
  everyMinutes: number;
  /** Newest first. */
  kept: readonly { file: string; atMs: number; bytes: number }[];
  /** Older stores beside the hub's, by name; earlier hubs do not say. */
  beside?: readonly string[];
  /** The last sound copy, where it holds somebody who was erased since; earlier hubs do not say. */
  holding?: string | null;
  failed: { atMs: number; fault: Fault } | null;
}
/** How long names are kept, and whose are soon due or due. Times are the hub's wall clock, milliseconds since 1970. */
export interface NamesKept {
  rule: { months: number; byItself: boolean };
  tests: readonly {
    grading: GradingId;
    title: string;
    /** Days, ISO 8601. */
    date: string;
    due: string;
    state: "soon" | "due";
    people: number;
    /** From when on they go by themselves; null where they do not. */
    goesFromMs: number | null;
  }[];
  /** Tests whose names went by themselves. */
  gone: readonly { grading: GradingId; atMs: number; people: number }[];
}
/** A link that opens one released sheet; its token is told once, to whoever made it. Times are the hub's wall clock. */
export interface SheetLink {
  id: string;
  candidate: CandidateId;
  madeAtMs: number;
  expiresAtMs: number;
}
/** A device on which somebody is chief. Time is the hub's wall clock. */
export interface ChiefDevice {
  /** Names it and opens nothing. */
  id: string;
  sinceMs: number;
  /** By the hub's key, and so of every test; otherwise let in as chief of one. */
  isHubs: boolean;
  isThis: boolean;
  name: string;
  tests: readonly GradingId[];
}
export type Answer<T> = ({ ok: true } & T) | { ok: false; fault: Fault };

/** What a device asks a hub outside the scorebook: letting people in. Answers are values; a hub that cannot be reached is a fault among them. */
export interface HubDesk {
  /** Whether a hub answers here, and whether it holds anything yet. */
  health(): Promise<Answer<{ gradings: number; entries: number }>>;
  /** The first chief shows the key printed in the hub's terminal. */
  claim(key: string, device: DeviceId): Promise<Answer<{ token: string; person: PersonId }>>;
  makeGrading(
    token: string,
    grading: GradingId,
    device: DeviceId,
  ): Promise<Answer<{ grading: GradingId }>>;
  /** Every belt test of the chief whose key this device has, the newest first. */
  gradings(token: string): Promise<Answer<{ gradings: GradingOnHub[] }>>;
  /** Opens the invented example test; its chief is whoever asks. */
  openExample(
    device: DeviceId,
  ): Promise<Answer<{ token: string; grading: GradingId; person: PersonId; title: string }>>;
  join(
    code: string,
    device: DeviceId,
    name: string,
    wants: Role,
  ): Promise<Answer<{ token: string; grading: GradingId }>>;
  me(
    token: string,
  ): Promise<
    Answer<{ state: DeviceAtDoor["state"]; grading: GradingId; person?: PersonId; roles?: Role[] }>
  >;
  code(token: string, grading: GradingId): Promise<Answer<{ code: string; addresses: string[] }>>;
  newCode(
    token: string,
    grading: GradingId,
  ): Promise<Answer<{ code: string; addresses: string[] }>>;
  devices(token: string, grading: GradingId): Promise<Answer<{ devices: DeviceAtDoor[] }>>;
  admit(
    token: string,
    grading: GradingId,
    device: DeviceId,
    as: { person: PersonId; roles: Role[] },
  ): Promise<Answer<{ state?: "admitted" | "asked" }>>;
  /** On which devices somebody is chief at this hub. */
  chiefs(token: string): Promise<Answer<{ devices: ChiefDevice[] }>>;
  /** Ends one of them at once and for good: it reads nothing, writes nothing, and cannot let itself back in. */
  endChief(token: string, id: string): Promise<Answer<{ devices: ChiefDevice[] }>>;
  /** How the hub's own copies stand; null where it makes none. `now` makes one more first. */
  backups(token: string, now?: "now"): Promise<Answer<{ backups: BackupState | null }>>;
  /** The newest copy, to be taken away. */
  newestBackup(token: string): Promise<Answer<{ file: Blob }>>;
  /** A hub that holds nothing yet begins from this copy: it closes, and comes back with another key for the chief. */
  bringBack(token: string, copy: Blob): Promise<Answer<{ tests: number; entries: number }>>;
  /** How long the hub keeps names, and what is due; `rule` chooses anew first. */
  namesKept(token: string, rule?: NamesKept["rule"]): Promise<Answer<NamesKept>>;
  /** Tells the hub that somebody was shown that the names of these tests are due. */
  namesShown(token: string, gradings: readonly GradingId[]): Promise<Answer<NamesKept>>;
  /** Erases everybody that a test names; `isDry` only says how many. */
  eraseNames(
    token: string,
    grading: GradingId,
    isDry: boolean,
  ): Promise<Answer<{ people: number; records: number }>>;
  /**
   * What this device may trust the hub by over TLS; `port` is null where it need not or cannot, `byName` where the hub has no name in the hall;
   * all of it where the hub has no encrypted line.
   */
  trust(): Promise<
    Answer<{
      trust: {
        name: string;
        fingerprint: string;
        port: number | null;
        byName?: string | null;
        /** Addresses under which the hub was reached before, the newest first. */
        formerly?: readonly string[];
      } | null;
    }>
  >;
  /** The sheet that a family's link opens. */
  sheet(token: string): Promise<Answer<{ sheet: FamilySheet; expiresAtMs: number }>>;
  sheetLinks(token: string, grading: GradingId): Promise<Answer<{ links: SheetLink[] }>>;
  makeSheetLink(
    token: string,
    grading: GradingId,
    candidate: CandidateId,
    days: number,
  ): Promise<Answer<{ link: SheetLink & { token: string }; addresses: string[] }>>;
  revokeSheetLink(
    token: string,
    grading: GradingId,
    id: string,
  ): Promise<Answer<{ links: SheetLink[] }>>;
  refuse(token: string, grading: GradingId, device: DeviceId): Promise<Answer<object>>;
  revoke(token: string, grading: GradingId, device: DeviceId): Promise<Answer<object>>;
}
