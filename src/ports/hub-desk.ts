import type { CandidateId } from "../belt-test/identity.ts";
import type { Role } from "../belt-test/kinds/body-parts.ts";
import type { Fault } from "../book/faults.ts";
import type { DeviceId, GradingId, PersonId } from "../book/identity.ts";
import type { RetentionRule, Told } from "../line/doors.ts";

export type Answer<T> = ({ ok: true } & T) | { ok: false; fault: Fault };

/** What a device asks a hub outside the scorebook, at its doors (`line/doors.ts`). Answers are values; a hub that cannot be reached is a fault among them. */
export interface HubDesk {
  health(): Promise<Answer<Told<"health">>>;
  claim(key: string, device: DeviceId): Promise<Answer<Told<"claim">>>;
  makeGrading(
    token: string,
    grading: GradingId,
    device: DeviceId,
  ): Promise<Answer<Told<"makeGrading">>>;
  gradings(token: string): Promise<Answer<Told<"gradings">>>;
  openExample(device: DeviceId): Promise<Answer<Told<"openExample">>>;
  join(code: string, device: DeviceId, name: string, wants: Role): Promise<Answer<Told<"join">>>;
  me(token: string): Promise<Answer<Told<"me">>>;
  code(token: string, grading: GradingId): Promise<Answer<Told<"code">>>;
  newCode(token: string, grading: GradingId): Promise<Answer<Told<"newCode">>>;
  devices(token: string, grading: GradingId): Promise<Answer<Told<"devices">>>;
  admit(
    token: string,
    grading: GradingId,
    device: DeviceId,
    as: { person: PersonId; roles: Role[] },
  ): Promise<Answer<Told<"admit">>>;
  refuse(token: string, grading: GradingId, device: DeviceId): Promise<Answer<object>>;
  revoke(token: string, grading: GradingId, device: DeviceId): Promise<Answer<object>>;
  chiefs(token: string): Promise<Answer<Told<"chiefs">>>;
  endChief(token: string, id: string): Promise<Answer<Told<"endChief">>>;
  /** `now` makes one more first. */
  backups(token: string, now?: "now"): Promise<Answer<Told<"backups">>>;
  /** The newest copy, to be taken away. */
  newestBackup(token: string): Promise<Answer<{ file: Blob }>>;
  /** A hub that holds nothing yet begins from this copy: it closes, and comes back with another key for the chief. */
  bringBack(token: string, copy: Blob): Promise<Answer<{ tests: number; entries: number }>>;
  /** `rule` chooses anew first. */
  namesKept(token: string, rule?: RetentionRule): Promise<Answer<Told<"namesKept">>>;
  namesShown(token: string, gradings: readonly GradingId[]): Promise<Answer<Told<"namesShown">>>;
  eraseNames(
    token: string,
    grading: GradingId,
    isDry: boolean,
  ): Promise<Answer<Told<"eraseNames">>>;
  trust(): Promise<Answer<Told<"trust">>>;
  /** The sheet that a family's link opens. */
  sheet(token: string): Promise<Answer<Told<"sheet">>>;
  sheetLinks(token: string, grading: GradingId): Promise<Answer<Told<"sheetLinks">>>;
  makeSheetLink(
    token: string,
    grading: GradingId,
    candidate: CandidateId,
    days: number,
  ): Promise<Answer<Told<"makeSheetLink">>>;
  revokeSheetLink(
    token: string,
    grading: GradingId,
    id: string,
  ): Promise<Answer<Told<"revokeSheetLink">>>;
}
