import { createPublicKey, generateKeyPairSync, randomUUID } from "node:crypto";
import type { Role } from "../../belt-test/kinds/body-parts.ts";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { DeviceId, GradingId, PersonId } from "../../book/identity.ts";
import type { SignedHead } from "../../book/signed-head.ts";
import type { Decision, DeviceRow, DoorTables, GradingRow } from "../../ports/door-tables.ts";
import { nobodyElse, type StoreNews } from "../../ports/store-news.ts";
import { HeadSigner } from "../seals/head-signer.ts";
import type { HeldBox } from "../seals/held-box.ts";
import { ownBox, ownKey } from "../seals/own-key.ts";
import { asTyped, hashOf, makeJoinCode, makeKey, makeToken } from "../seals/secrets.ts";
import { type BesideDoor, nothingBeside, stoodName } from "./beside-door.ts";

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
  readonly #news: StoreNews;
  readonly #beside: BesideDoor;
  readonly #listeners = new Set<DoorListener>();
  #signer: Promise<HeadSigner | undefined> | undefined;
  /** Grows with every change at a door that this hub hears of. */
  #changes = 0;
  /** What this hub, and every other on its store, is known by: the hash of its public key. */
  readonly fingerprint: string;

  constructor(
    tables: DoorTables,
    nowMs: () => number,
    fingerprint: string,
    news: StoreNews = nobodyElse,
    beside: BesideDoor = nothingBeside,
  ) {
    this.#beside = beside;
    this.#tables = tables;
    this.#nowMs = nowMs;
    this.fingerprint = fingerprint;
    this.#news = news;
    news.onNews((one) => {
      if (one.of === "door") void this.#heardOf(one.grading, one.device);
    });
  }
  /** With the key pair of the store, made when it has none. @throws FaultError KEY_DAMAGED */
  static async open(
    tables: DoorTables,
    nowMs: () => number,
    news: StoreNews = nobodyElse,
    beside?: BesideDoor,
  ): Promise<FrontDesk> {
    const kept = await tables.setting("public-key");
    const fingerprint = hashOf(kept ?? (await makeKeyPair(tables)));
    await ownKey(tables);
    const desk = new FrontDesk(tables, nowMs, fingerprint, news, beside);
    // Earlier hubs shut a chief's tablet out of one test and left it chief of all.
    for (const { tokenHash } of await tables.chiefs())
      if ((await tables.devicesByToken(tokenHash)).some(isOut)) await desk.endToken(tokenHash);
    return desk;
  }

  /** Where a chain stands, signed by this hub; undefined where its store has no private key. */
  async signedHead(
    grading: GradingId,
    seq: number,
    chain: string,
  ): Promise<SignedHead | undefined> {
    this.#signer ??= this.#openSigner();
    return (await this.#signer)?.sign(grading, seq, chain);
  }

  async #openSigner(): Promise<HeadSigner | undefined> {
    const key = await ownKey(this.#tables);
    return key === undefined ? undefined : new HeadSigner(key);
  }

  heldBox(): Promise<HeldBox | undefined> {
    return ownBox(this.#tables);
  }

  /** Where doors are kept; for what else is opened by a secret. */
  get tables(): DoorTables {
    return this.#tables;
  }

  onDoor(listener: DoorListener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  // ── the first chief ──────────────────────────────────────────────────────────
  /** Whether somebody has to show a key before this hub can be used. */
  async isUnclaimed(): Promise<boolean> {
    return (await this.#tables.chiefs()).length === 0;
  }
  /** A new one-time key; the one before it opens nothing any more. */
  async newKey(): Promise<string> {
    const key = makeKey();
    const before = await this.#tables.setting("key");
    if (before !== undefined) this.#beside.ended(before);
    await this.#tables.keepSetting("key", hashOf(asTyped(key)));
    return key;
  }
  /** The one who holds the key is this hub's chief. A second key makes another device the same chief's. */
  async claim(key: string, device: DeviceId): Promise<{ token: string; person: PersonId }> {
    const hash = hashOf(asTyped(key));
    if (!(await this.#tables.takeSetting("key", hash))) throw new FaultError({ code: "KEY_WRONG" });
    this.#beside.ended(hash);
    return this.makeChief(device);
  }
  /** The hub's chief on one more device, without a key: for the process itself. */
  async makeChief(device: DeviceId): Promise<{ token: string; person: PersonId }> {
    const person = (await this.#tables.settleSetting("chief", newPerson())) as PersonId;
    const token = makeToken();
    await this.#tables.keepChief(hashOf(token), device, person, this.#nowMs());
    return { token, person };
  }

  // ── gradings ─────────────────────────────────────────────────────────────────
  /** Makes a grading, or lets its own maker in on one more device. The token is good for this grading too. */
  async makeGrading(
    token: string,
    grading: GradingId,
    device: DeviceId,
  ): Promise<{ grading: GradingId }> {
    const chief = await this.#chief(token);
    const mine = { grading, madeBy: chief.person };
    while (!(await this.#tables.makeGrading({ ...mine, code: makeJoinCode() }, this.#nowMs())));
    if ((await this.#grading(grading)).madeBy !== chief.person)
      throw new FaultError({ code: "GRADING_OTHER" });
    const there = await this.#tables.device(grading, device);
    // Whoever only knocks under the id of a chief's tablet, which stands in all it wrote, keeps that tablet out of nothing.
    if (there?.person && there.person !== chief.person) throw new FaultError({ code: "NOT_YOURS" });
    await this.#keep({
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
    // Asked again: a device that was ended meanwhile has not let itself back in.
    await this.#chief(token).catch(async (error: unknown) => {
      await this.endToken(hashOf(token));
      throw error;
    });
    return { grading };
  }
  /** Every grading of this hub's chief, newest first. */
  async gradings(token: string): Promise<GradingId[]> {
    const { person } = await this.#chief(token);
    return (await this.#tables.gradings())
      .filter(({ madeBy }) => madeBy === person)
      .map(({ grading }) => grading);
  }
  /** Every grading that somebody made at this hub's door. */
  async made(): Promise<Set<GradingId>> {
    return new Set((await this.#tables.gradings()).map(({ grading }) => grading));
  }
  async code(grading: GradingId): Promise<string> {
    return (await this.#grading(grading)).code;
  }
  /** A new join code; the old one lets nobody in any more. Who is in stays in. */
  async newCode(grading: GradingId): Promise<string> {
    await this.#grading(grading);
    for (;;) {
      const code = makeJoinCode();
      if (await this.#tables.changeCode(grading, code)) return code;
    }
  }

  // ── the door ─────────────────────────────────────────────────────────────────
  /** Somebody with the right code waits at the door. */
  async join(knock: Knock): Promise<{ token: string; state: "waiting"; grading: GradingId }> {
    const found = await this.#tables.gradingByCode(asTyped(knock.code));
    if (!found) throw new FaultError({ code: "CODE_WRONG" });
    const { grading } = found;
    const token = makeToken();
    const row: DeviceRow = {
      grading,
      device: knock.device,
      name: knock.name,
      wants: knock.wants,
      state: "waiting",
      person: null,
      roles: [],
      tokenHash: hashOf(token),
      address: knock.address,
      sinceMs: this.#nowMs(),
    };
    // Nobody takes the place of a device that is or was in, or that waits somewhere else.
    if (!(await this.#tables.knock(row))) throw new FaultError({ code: "NOT_YOURS" });
    this.#changed(row);
    return { token, state: "waiting", grading };
  }
  /**
   * As whom a device would come in at the word of whoever has this token. Into the place of the hub's chief, or of another chief of this test, only the
   * hub's chief lets anybody: chief of one test is who was let in as that, and no more.
   */
  async wouldAdmit(
    grading: GradingId,
    device: DeviceId,
    as: { person?: PersonId | undefined },
    byToken: string,
  ): Promise<{ row: DeviceRow; person: PersonId; by: PersonId }> {
    const row = await this.#mustDecide(grading, device, byToken);
    const { person: by } = await this.chiefOf(byToken, grading);
    const person = as.person ?? row.person ?? newPerson();
    mustStay(row, person);
    if (person !== by && (await this.#isChief(grading, person)))
      await this.mustBeHubsChief(byToken);
    return { row, person, by };
  }
  async #isHubsChief(person: PersonId | null): Promise<boolean> {
    if (person === null) return false;
    if ((await this.#tables.setting("chief")) === person) return true;
    return (await this.#tables.chiefs()).some((one) => one.person === person);
  }
  async #isChief(grading: GradingId, person: PersonId): Promise<boolean> {
    if (await this.#isHubsChief(person)) return true;
    return (await this.#tables.devices(grading)).some(
      (row) => row.person === person && row.roles.includes("chief"),
    );
  }
  async mustBeHubsChief(byToken: string): Promise<void> {
    if (!(await this.#tables.chief(hashOf(byToken))))
      throw new FaultError({ code: "ROLE_MISSING", with: { kind: "admission" } });
  }
  /**
   * Whether nobody has come in as this person before, on whichever hub of this store: of two that come at the same moment one is the first.
   * @param device that would be it from now on
   */
  async isFirst(grading: GradingId, person: PersonId, device: DeviceId): Promise<boolean> {
    const rows = await this.#tables.devices(grading);
    if (rows.some((one) => one.person === person)) return false;
    const first = await this.#tables.settleSetting(`first/${grading}/${person}`, device);
    return first === device;
  }
  /** Lets a device in, as somebody who is seated or as somebody new. Whether the one who says so may is asked before: see admissions.ts. */
  async admit(
    grading: GradingId,
    device: DeviceId,
    as: { person?: PersonId | undefined; roles: readonly Role[] },
  ): Promise<{ person: PersonId }> {
    const row = await this.#mustDecide(grading, device);
    const person = as.person ?? row.person ?? newPerson();
    mustStay(row, person);
    const { tokenHash } = row;
    const roles = [...new Set(as.roles)];
    const noted = this.#beside.stands({ tokenHash, grading, person, roles });
    await this.#decide(grading, device, { state: "admitted", person, roles });
    if (noted) await this.#tables.keepSetting(stoodName(row), noted);
    return { person };
  }
  /** Whoever waits is turned away; whoever is in already is out at once. */
  async refuse(grading: GradingId, device: DeviceId, byToken?: string): Promise<void> {
    const row = await this.#tables.device(grading, device);
    if (row?.state === "admitted") return this.revoke(grading, device, byToken);
    await this.#decide(grading, device, { state: "refused" });
  }
  /**
   * At once, and for good: its line is closed, at whichever hub, and its token opens nothing, in no test where it is a chief's. What it wrote stays.
   * @param byToken  whose hand it is; none for the process itself.
   */
  async revoke(grading: GradingId, device: DeviceId, byToken?: string): Promise<void> {
    const { tokenHash } = await this.#mustDecide(grading, device, byToken);
    await this.endToken(tokenHash);
  }
  /** This token opens nothing from now on, and no copy from before brings it back. */
  async endToken(tokenHash: string): Promise<void> {
    this.#beside.ended(tokenHash);
    for (const row of await this.#tables.endToken(tokenHash)) this.#changed(row);
  }
  /** How a device of the hub's chief stands is decided by the hub's chief: somebody let in as chief of one test shuts nobody out of the hub. */
  async #mustDecide(grading: GradingId, device: DeviceId, byToken?: string): Promise<DeviceRow> {
    const row = await this.#tables.device(grading, device);
    if (!row) throw new FaultError({ code: "NOT_ADMITTED" });
    const isChiefs = await this.#isHubsChief(row.person);
    if (byToken !== undefined && (isChiefs || (await this.#tables.chief(row.tokenHash))))
      await this.mustBeHubsChief(byToken);
    return row;
  }
  async devices(grading: GradingId): Promise<DeviceRow[]> {
    return this.#tables.devices(grading);
  }
  /** In one go, for the process itself: a device that is in, with its token. */
  async letIn(
    grading: GradingId,
    device: DeviceId,
    as: { name: string; person: PersonId; roles: readonly [Role, ...Role[]] },
  ): Promise<{ token: string }> {
    const token = makeToken();
    await this.#keep({
      grading: (await this.#grading(grading)).grading,
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
  async me(token: string): Promise<DeviceRow> {
    const [row] = await this.#tables.devicesByToken(hashOf(token));
    if (!row) throw new FaultError({ code: "TOKEN_WRONG" });
    return row;
  }
  /** The holder of a token, if admitted to this grading; with `device`, only on that device. */
  async admitted(token: string, grading: GradingId, device?: DeviceId): Promise<Admitted> {
    const rows = await this.#tables.devicesByToken(hashOf(token));
    const row = rows.find(
      (one) => one.grading === grading && (device === undefined || one.device === device),
    );
    if (!row) throw new FaultError({ code: "TOKEN_WRONG" });
    if (row.state !== "admitted" || row.person === null)
      throw new FaultError({ code: "NOT_ADMITTED" });
    return { grading, device: row.device, person: row.person, roles: row.roles };
  }
  /** The same for somebody about to be put on the line, with all devices of theirs: no change at the door is missed between the asking and what follows at once. */
  async admittedNow(
    token: string,
    grading: GradingId,
    device: DeviceId,
  ): Promise<{ who: Admitted; own: readonly DeviceRow[] }> {
    for (;;) {
      const before = this.#changes;
      const who = await this.admitted(token, grading, device);
      const rows = await this.#tables.devices(grading);
      if (this.#changes === before)
        return { who, own: rows.filter(({ person }) => person === who.person) };
    }
  }
  /** The same, and chief of it. */
  async chiefOf(token: string, grading: GradingId): Promise<Admitted> {
    const admitted = await this.admitted(token, grading);
    if (!admitted.roles.includes("chief"))
      throw new FaultError({ code: "ROLE_MISSING", with: { kind: "admission" } });
    return admitted;
  }

  /** The holder of a token, if it is the hub's chief. */
  async hubsChief(token: string): Promise<void> {
    await this.#chief(token);
  }
  async #chief(token: string): Promise<{ person: PersonId; device: DeviceId }> {
    const chief = await this.#tables.chief(hashOf(token));
    if (!chief) throw new FaultError({ code: "TOKEN_WRONG" });
    return chief;
  }
  async #grading(grading: GradingId): Promise<GradingRow> {
    const found = await this.#tables.grading(grading);
    if (!found) throw new FaultError({ code: "GRADING_OTHER" });
    return found;
  }
  async #decide(grading: GradingId, device: DeviceId, decision: Decision): Promise<void> {
    const row = await this.#tables.decide(grading, device, decision);
    if (!row) throw new FaultError({ code: "NOT_ADMITTED" } satisfies Fault);
    this.#changed(row);
  }
  async #keep(row: DeviceRow): Promise<void> {
    const noted = this.#beside.stands(row);
    await this.#tables.keepDevice(row);
    if (noted) await this.#tables.keepSetting(stoodName(row), noted);
    this.#changed(row);
  }
  #changed(row: DeviceRow): void {
    this.#changes++;
    this.#news.tell({ of: "door", grading: row.grading, device: row.device });
    for (const listener of this.#listeners) listener(row);
  }
  /** Another hub on this store changed a door. */
  async #heardOf(grading: GradingId, device: DeviceId): Promise<void> {
    this.#changes++;
    try {
      const row = await this.#tables.device(grading, device);
      if (row) for (const listener of this.#listeners) listener(row);
    } catch (error) {
      // A store that is away has every line hang up, and each is asked anew when it comes back.
      if (!(error instanceof FaultError)) throw error;
    }
  }
}

/** The private key first: of two hubs that start together on an empty store, both take the one that was kept. */
async function makeKeyPair(tables: DoorTables): Promise<string> {
  const made = generateKeyPairSync("ed25519").privateKey;
  const kept = await tables.settleSetting(
    "private-key",
    made.export({ type: "pkcs8", format: "pem" }).toString(),
  );
  const publicKey = createPublicKey(kept).export({ type: "spki", format: "pem" }).toString();
  return tables.settleSetting("public-key", publicKey);
}

/**
 * Whose device it is, or was, it stays: moved to somebody else and another put in its place, that one would read what the first wrote, and nobody would
 * have been asked. Whoever was let in as the wrong person is shut out, and knocks on anew.
 */
function mustStay(row: DeviceRow, person: PersonId): void {
  if (row.person !== null && row.person !== person) throw new FaultError({ code: "NOT_YOURS" });
}
/** It came in once, or would have, and may not any more. */
export const isOut = ({ state }: DeviceRow): boolean => state === "revoked" || state === "refused";
const newPerson = (): PersonId => `person-${randomUUID()}` as PersonId;
