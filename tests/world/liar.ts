import type { CountId, EntryId, GradingId, PersonId } from "../../src/core/identity.ts";
import { countedPlace, countOf } from "../../src/core/scorebook/counts.ts";
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
  /** As far as the hub is thought to have heard, count by count. */
  last: Map<CountId, number>;
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
  /** In which count each line was told. */
  readonly #counts = new Map<EntryId, CountId>();

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
      last: new Map(),
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
    const n = this.#next(device, entry.id, entry.device);
    const timed = { ...entry, n, lamport: this.#lamport(device, entry.lamport) };
    const body = timed.body as Record<string, unknown>;
    if (typeof body.basis === "object" && (entry.kind === "locked" || entry.kind === "answered"))
      timed.body = { ...body, basis: { ...body.basis, [entry.device]: n - 1 } };
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
    const id = this.#makeId() as EntryId;
    // As tablets of before had it, in one count; or each place in its own.
    const count = countOf(
      device.page.pass.device,
      dice.falls(0.5) ? placeIn(kind, body) : undefined,
    );
    const n = this.#next(device, id, count);
    const entry = {
      id,
      grading: this.#grading,
      by: this.name,
      device: count,
      n,
      lamport: lamport ?? this.#lamport(device, device.page.book.lamport + 1),
      at: dice.whole(0, 2_000_000_000_000),
      kind,
      body: Object.fromEntries(
        Object.entries(body).map(([key, value]) =>
          // A basis that is to be this device's own count.
          key === "basis" && value === "own" ? [key, { [count]: n - 1 }] : [key, value],
        ),
      ),
    };
    return dice.falls(0.1)
      ? [twisted(dice, entry as unknown as AnyEntry, { onDisk, others: [] })]
      : [entry];
  }
  #next(device: LyingDevice, id: EntryId, count: CountId): number {
    const n = (device.last.get(count) ?? 0) + 1;
    device.last.set(count, n);
    this.#counts.set(id, count);
    return n;
  }
  #lamport(device: LyingDevice, said: number): number {
    if (device.clock === "slow" && device.lamport > 0) return device.lamport;
    const ahead = device.clock === "fast" && this.#dice.falls(0.1) ? this.#dice.whole(1, 9_999) : 0;
    const first = device.clock === "slow" ? this.#dice.whole(1, said) : said;
    return (device.lamport = Math.max(device.lamport, first + ahead));
  }

  /** Learns from the answer where its count stands. */
  heard(device: LyingDevice, { refused }: Handed): void {
    for (const { id, fault } of refused) {
      const count = id && this.#counts.get(id);
      if (count && fault.code === "N_GAP") device.last.set(count, Number(fault.with?.last ?? 0));
    }
    device.page.refused(refused.map(({ id }) => id));
  }
}

/** A forged body may be anything. */
function placeIn(kind: string, body: Record<string, unknown>): ReturnType<typeof countedPlace> {
  try {
    return countedPlace(kind, body);
  } catch {
    return undefined;
  }
}
