import { generateKeyPairSync, randomUUID } from "node:crypto";
import { type Fault, FaultError } from "../core/faults.ts";
import type { DeviceId, GradingId, PersonId } from "../core/identity.ts";
import type { Role } from "../core/scorebook/entry.ts";
import { asTyped, hashOf, makeJoinCode, makeKey, makeToken } from "./secrets.ts";
import type { DeviceRow, DoorTables } from "./storage/door-tables.ts";

/** A device that came in, as the hub knows it from its token. */
export interface Admitted {
  grading: GradingId;
  device: DeviceId;
  person: PersonId;
  roles: readonly Role[];
}
export interface Knock {
  code: string;
  device: DeviceId;
  name: string;
  wants: Role;
  address: string;
}
/** Told after the fact: a door changed for a device. */
type DoorListener = (row: DeviceRow) => void;

/**
 * Lets people in. The first chief comes with a one-time key, makes gradings, and admits everybody else by hand:
 * a join code alone opens nothing. Secrets are kept as hashes. Every method throws a FaultError that names what is wrong.
 */
export class FrontDesk {
  readonly #tables: DoorTables;
  readonly #nowMs: () => number;
  readonly #listeners = new Set<DoorListener>();

  constructor(tables: DoorTables, nowMs: () => number) {
    this.#tables = tables;
    this.#nowMs = nowMs;
    if (!tables.setting("public-key")) {
      const { publicKey, privateKey } = generateKeyPairSync("ed25519");
      tables.keepSetting(
        "private-key",
        privateKey.export({ type: "pkcs8", format: "pem" }).toString(),
      );
      tables.keepSetting(
        "public-key",
        publicKey.export({ type: "spki", format: "pem" }).toString(),
      );
    }
  }

  onDoor(listener: DoorListener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** What this hub is known by: the hash of its public key. */
  get fingerprint(): string {
    return hashOf(this.#tables.setting("public-key") ?? "");
  }

  // ── the first chief ──────────────────────────────────────────────────────────
  /** Whether somebody has to show a key before this hub can be used. */
  get isUnclaimed(): boolean {
    return this.#tables.setting("chief") === undefined;
  }
  /** A new one-time key; the one before it opens nothing any more. */
  newKey(): string {
    const key = makeKey();
    this.#tables.keepSetting("key", hashOf(asTyped(key)));
    return key;
  }
  /** The one who holds the key is this hub's chief. A second key makes another device the same chief's. */
  claim(key: string, device: DeviceId): { token: string; person: PersonId } {
    if (this.#tables.setting("key") !== hashOf(asTyped(key)))
      throw new FaultError({ code: "KEY_WRONG" });
    this.#tables.dropSetting("key");
    return this.makeChief(device);
  }
  /** The hub's chief on one more device, without a key: for the process itself. */
  makeChief(device: DeviceId): { token: string; person: PersonId } {
    const person = (this.#tables.setting("chief") ?? newPerson()) as PersonId;
    this.#tables.keepSetting("chief", person);
    const token = makeToken();
    this.#tables.keepChief(hashOf(token), device, person, this.#nowMs());
    return { token, person };
  }

  // ── gradings ─────────────────────────────────────────────────────────────────
  /** Makes a grading, or lets its own maker in on one more device. The token is good for this grading too. */
  makeGrading(token: string, grading: GradingId, device: DeviceId): { grading: GradingId } {
    const chief = this.#chief(token);
    const before = this.#tables.grading(grading);
    if (before && before.madeBy !== chief.person) throw new FaultError({ code: "GRADING_OTHER" });
    if (!before)
      this.#tables.keepGrading(
        { grading, code: this.#freshCode(), madeBy: chief.person },
        this.#nowMs(),
      );
    this.#keep({
      grading,
      device,
      name: "",
      wants: "chief",
      state: "admitted",
      person: chief.person,
      roles: ["chief"],
      tokenHash: hashOf(token),
      address: "",
      sinceMs: this.#nowMs(),
    });
    return { grading };
  }
  /** Every grading of this hub's chief, newest first. */
  gradings(token: string): GradingId[] {
    const { person } = this.#chief(token);
    return this.#tables
      .gradings()
      .filter(({ madeBy }) => madeBy === person)
      .map(({ grading }) => grading);
  }
  hasMaker(grading: GradingId): boolean {
    return this.#tables.grading(grading) !== undefined;
  }
  get gradingCount(): number {
    return this.#tables.gradings().length;
  }
  code(grading: GradingId): string {
    return this.#grading(grading).code;
  }
  /** A new join code; the old one lets nobody in any more. Who is in stays in. */
  newCode(grading: GradingId): string {
    const code = this.#freshCode();
    this.#tables.keepGrading({ ...this.#grading(grading), code }, this.#nowMs());
    return code;
  }

  // ── the door ─────────────────────────────────────────────────────────────────
  /** Somebody with the right code waits at the door. */
  join(knock: Knock): { token: string; state: "waiting"; grading: GradingId } {
    const found = this.#tables.gradingByCode(asTyped(knock.code));
    if (!found) throw new FaultError({ code: "CODE_WRONG" });
    const { grading } = found;
    const before = this.#tables.device(grading, knock.device);
    // Nobody takes the place of a device that is in, or that waits somewhere else.
    const isTaken =
      before?.state === "admitted" ||
      (before?.state === "waiting" && before.address !== knock.address);
    if (isTaken) throw new FaultError({ code: "NOT_YOURS" });
    const token = makeToken();
    this.#keep({
      grading,
      device: knock.device,
      name: knock.name,
      wants: knock.wants,
      state: "waiting",
      person: before?.person ?? null,
      roles: [],
      tokenHash: hashOf(token),
      address: knock.address,
      sinceMs: this.#nowMs(),
    });
    return { token, state: "waiting", grading };
  }
  /** Lets a device in, as somebody who is seated or as somebody new. */
  admit(
    grading: GradingId,
    device: DeviceId,
    as: { person?: PersonId | undefined; roles: readonly Role[] },
  ): { person: PersonId } {
    const row = this.#device(grading, device);
    const person = as.person ?? row.person ?? newPerson();
    this.#keep({ ...row, state: "admitted", person, roles: [...new Set(as.roles)] });
    return { person };
  }
  refuse(grading: GradingId, device: DeviceId): void {
    this.#keep({ ...this.#device(grading, device), state: "refused" });
  }
  /** At once: its line is closed and its token opens nothing. What it wrote stays. */
  revoke(grading: GradingId, device: DeviceId): void {
    this.#keep({ ...this.#device(grading, device), state: "revoked" });
  }
  /** What this person's devices were called is forgotten; what they wrote, and whether they are in, stays. */
  forget(grading: GradingId, person: string): void {
    for (const row of this.#tables.devices(grading))
      if (row.person === person && row.name !== "") this.#tables.keepDevice({ ...row, name: "" });
  }
  devices(grading: GradingId): DeviceRow[] {
    return this.#tables.devices(grading);
  }
  /** In one go, for the process itself: a device that is in, with its token. */
  letIn(
    grading: GradingId,
    device: DeviceId,
    as: { name: string; person: PersonId; roles: readonly [Role, ...Role[]] },
  ): { token: string } {
    const token = makeToken();
    this.#keep({
      grading: this.#grading(grading).grading,
      device,
      name: as.name,
      wants: as.roles[0],
      state: "admitted",
      person: as.person,
      roles: [...as.roles],
      tokenHash: hashOf(token),
      address: "",
      sinceMs: this.#nowMs(),
    });
    return { token };
  }

  // ── tokens ───────────────────────────────────────────────────────────────────
  /** Where the holder of a token stands: the newest grading it was used for. */
  me(token: string): DeviceRow {
    const [row] = this.#tables.devicesByToken(hashOf(token));
    if (!row) throw new FaultError({ code: "TOKEN_WRONG" });
    return row;
  }
  /** The holder of a token, if admitted to this grading; with `device`, only on that device. */
  admitted(token: string, grading: GradingId, device?: DeviceId): Admitted {
    const rows = this.#tables.devicesByToken(hashOf(token));
    const row = rows.find(
      (one) => one.grading === grading && (device === undefined || one.device === device),
    );
    if (!row) throw new FaultError({ code: "TOKEN_WRONG" });
    if (row.state !== "admitted" || row.person === null)
      throw new FaultError({ code: "NOT_ADMITTED" });
    return { grading, device: row.device, person: row.person, roles: row.roles };
  }
  /** The same, and chief of it. */
  chiefOf(token: string, grading: GradingId): Admitted {
    const admitted = this.admitted(token, grading);
    if (!admitted.roles.includes("chief"))
      throw new FaultError({ code: "ROLE_MISSING", with: { kind: "admission" } });
    return admitted;
  }

  #chief(token: string): { person: PersonId; device: DeviceId } {
    const chief = this.#tables.chief(hashOf(token));
    if (!chief) throw new FaultError({ code: "TOKEN_WRONG" });
    return chief;
  }
  #grading(grading: GradingId) {
    const found = this.#tables.grading(grading);
    if (!found) throw new FaultError({ code: "GRADING_OTHER" });
    return found;
  }
  #device(grading: GradingId, device: DeviceId): DeviceRow {
    const row = this.#tables.device(grading, device);
    if (!row) throw new FaultError({ code: "NOT_ADMITTED" } satisfies Fault);
    return row;
  }
  #freshCode(): string {
    for (;;) {
      const code = makeJoinCode();
      if (!this.#tables.gradingByCode(code)) return code;
    }
  }
  #keep(row: DeviceRow): void {
    this.#tables.keepDevice(row);
    for (const listener of this.#listeners) listener(row);
  }
}

const newPerson = (): PersonId => `person-${randomUUID()}` as PersonId;
