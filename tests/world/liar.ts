import type { DeviceId, EntryId, GradingId, PersonId } from "../../src/core/identity.ts";
import type { AnyEntry, Role } from "../../src/core/scorebook/entry.ts";
import type { Handed } from "../../src/hub/grading-room.ts";
import type { Dice } from "./dice.ts";
import { forged, garbled, twisted } from "./lies.ts";
import { LoosePage } from "./loose-page.ts";
import type { Person } from "./person.ts";

/** How a liar's device counts logical time. */
const CLOCKS = ["true", "slow", "fast"] as const;

/** One device of a liar: a page that is written honestly, and what is made of it on the way out. */
interface LyingDevice {
  page: LoosePage;
  clock: (typeof CLOCKS)[number];
  /** As far as the hub is thought to have heard. */
  n: number;
  lamport: number;
}

/**
 * Somebody let in under a true name, with devices that say what they like. Knows everything that is on the hub's disk, as if somebody
 * had told: what nobody may do is not to hang on what nobody knows.
 */
export class Liar {
  readonly name: PersonId;
  readonly roles: readonly Role[];
  readonly devices: LyingDevice[];
  readonly #hand: Person;
  readonly #dice: Dice;
  readonly #grading: GradingId;
  readonly #makeId: () => string;
  readonly #locks: AnyEntry[] = [];

  constructor(
    hand: Person,
    world: { dice: Dice; grading: GradingId; makeId: () => string; nowMs: () => number },
  ) {
    this.name = hand.name;
    this.roles = hand.roles;
    this.#hand = hand;
    this.#dice = world.dice;
    this.#grading = world.grading;
    this.#makeId = world.makeId;
    this.devices = [1, 2].map((index) => ({
      page: new LoosePage(world.grading, hand.name, `${hand.name}-lies-${index}`, world),
      clock: world.dice.pick(CLOCKS),
      n: 0,
      lamport: 0,
    }));
  }

  /** What is handed in this time, and by which device; now and then nothing. */
  act(onDisk: readonly AnyEntry[]): { device: LyingDevice; entries: unknown[]; sides: never[] } {
    const dice = this.#dice;
    const device = dice.pick(this.devices);
    const { page } = device;
    for (let acts = dice.whole(0, 2); acts > 0; acts--) this.#hand.actOn(page);
    const entries: unknown[] = [];
    const { entries: honest, sides } = page.takeOutbox();
    for (const entry of honest) entries.push(...this.#tell(device, entry, onDisk));
    if (dice.falls(0.5)) entries.push(...this.#invent(device, onDisk));
    if (dice.falls(0.002)) entries.push(...Array.from({ length: 300 }, () => garbled(dice)));
    return { device, entries, sides: sides as never[] };
  }

  /** An entry with this device's own count and time, more or less. */
  #tell(device: LyingDevice, entry: AnyEntry, onDisk: readonly AnyEntry[]): unknown[] {
    const dice = this.#dice;
    const timed = { ...entry, n: ++device.n, lamport: this.#lamport(device, entry.lamport) };
    const body = timed.body as Record<string, unknown>;
    if (typeof body.basis === "object" && (entry.kind === "locked" || entry.kind === "answered"))
      timed.body = { ...body, basis: { ...body.basis, [device.page.pass.device]: timed.n - 1 } };
    if (entry.kind === "locked") this.#locks.push(timed);
    if (dice.falls(0.65)) return [timed];
    const lie = twisted(dice, timed, {
      onDisk,
      others: this.devices.map(({ page }) => page.pass.device),
    });
    // Sometimes a lie and the truth under one number, sometimes in the wrong order.
    const told = dice.pick([[lie], [lie, timed], [timed, lie]]);
    if (told.length === 1) device.page.refused([entry.id]);
    return told;
  }
  #invent(device: LyingDevice, onDisk: readonly AnyEntry[]): unknown[] {
    const dice = this.#dice;
    if (dice.falls(0.15)) return [garbled(dice)];
    const made = forged(dice, { onDisk, me: this.name, locks: this.#locks });
    if (!made) return [];
    const { kind, body, lamport } = made;
    const entry = {
      id: this.#makeId() as EntryId,
      grading: this.#grading,
      by: this.name,
      device: device.page.pass.device as DeviceId,
      n: ++device.n,
      lamport: lamport ?? this.#lamport(device, device.page.book.lamport + 1),
      at: dice.whole(0, 2_000_000_000_000),
      kind,
      body: Object.fromEntries(
        Object.entries(body).map(([key, value]) =>
          // A basis that is to be this device's own count.
          key === "basis" && value === "own"
            ? [key, { [device.page.pass.device]: device.n - 1 }]
            : [key, value],
        ),
      ),
    };
    return dice.falls(0.1)
      ? [twisted(dice, entry as unknown as AnyEntry, { onDisk, others: [] })]
      : [entry];
  }
  #lamport(device: LyingDevice, said: number): number {
    if (device.clock === "slow" && device.lamport > 0) return device.lamport;
    const ahead = device.clock === "fast" && this.#dice.falls(0.1) ? this.#dice.whole(1, 9_999) : 0;
    const first = device.clock === "slow" ? this.#dice.whole(1, said) : said;
    return (device.lamport = Math.max(device.lamport, first + ahead));
  }

  /** Learns from the answer where its count stands. */
  heard(device: LyingDevice, { refused }: Handed): void {
    for (const { fault } of refused)
      if (fault.code === "N_GAP") device.n = Number(fault.with?.last ?? device.n);
    device.page.refused(refused.map(({ id }) => id));
  }
}
