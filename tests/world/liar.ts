import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { countedPlace, countOf } from "../../src/belt-test/scorebook/place-counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { CountId, EntryId, GradingId, PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import type { Handed } from "../../src/hub/room/handed.ts";
import { sideDigest } from "../../src/line/make-side-record.ts";
import { revouched } from "../builders/a-pen.ts";
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

/** What is on its way to the hub, and heard by everybody. */
export interface Shouted {
  entries: readonly AnyEntry[];
  sides: readonly SideRecord[];
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
  act(
    onDisk: readonly AnyEntry[],
    shouted: Shouted,
  ): { device: LyingDevice; entries: unknown[]; sides: SideRecord[] } {
    const dice = this.#dice;
    const device = dice.pick(this.devices);
    const { page } = device;
    for (let acts = dice.whole(0, 2); acts > 0; acts--) this.#hand.actOn(page);
    const entries: unknown[] = [];
    const { entries: honest, sides } = page.takeOutbox();
    for (const entry of honest) entries.push(...this.#tell(device, entry, onDisk));
    if (dice.falls(0.5)) entries.push(...this.#invent(device, onDisk));
    if (dice.falls(0.002)) entries.push(...Array.from({ length: 300 }, () => garbled(dice)));
    if (dice.falls(0.15)) {
      const squat = this.#squat(device, shouted);
      entries.push(...squat.entries);
      sides.push(...squat.sides);
    }
    return { device, entries, sides };
  }

  /** Under the id of a line, or of a name, that is on its way and not kept yet: of a stop that was shouted, of what an older copy has lost. */
  #squat(device: LyingDevice, { entries, sides }: Shouted): Shouted {
    const dice = this.#dice;
    const count = device.page.pass.device;
    const line = (id: EntryId, kind: string, body: object): AnyEntry =>
      ({
        id,
        grading: this.#grading,
        by: this.name,
        device: count,
        n: this.#next(device, id, count),
        lamport: this.#lamport(device, device.page.book.lamport + 1),
        at: 1,
        kind,
        body,
      }) as unknown as AnyEntry;
    const [aim] = entries.length > 0 ? [dice.pick(entries)] : [];
    const [name] = sides.length > 0 ? [dice.pick(sides)] : [];
    if (name && dice.falls(0.5)) {
      const record: SideRecord = {
        ...name,
        about: this.name,
        kind: "text",
        body: { text: "Mine." },
      };
      const text = { id: name.id, digest: sideDigest(record) };
      const id = this.#makeId() as EntryId;
      return { entries: [revouched(line(id, "incident", { text }))], sides: [record] };
    }
    if (!aim) return { entries: [], sides: [] };
    return {
      entries: [
        dice.pick([
          () => line(aim.id, "mark-of-next-year", {}),
          () => line(aim.id, "stopped", { wave: null }),
          () => ({ ...aim, by: this.name, device: count }),
        ])(),
      ],
      sides: [],
    };
  }

  /** An entry with this device's own count and time, more or less. */
  #tell(device: LyingDevice, entry: AnyEntry, onDisk: readonly AnyEntry[]): unknown[] {
    const dice = this.#dice;
    const n = this.#next(device, entry.id, entry.device);
    const timed = this.#named(entry.device, {
      ...entry,
      n,
      lamport: this.#lamport(device, entry.lamport),
    });
    const body = timed.body as Record<string, unknown>;
    if (typeof body.basis === "object" && (entry.kind === "locked" || entry.kind === "answered"))
      timed.body = { ...body, basis: { ...body.basis, [entry.device]: n - 1 } };
    if (entry.kind === "locked") this.#locks.push(timed);
    if (dice.falls(0.65)) return [timed];
    const lie = this.#named(
      entry.device,
      twisted(dice, timed, {
        onDisk,
        others: this.devices.map(({ page }) => page.pass.device),
      }) as AnyEntry,
    );
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
    const entry = this.#named(count, {
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
    } as unknown as AnyEntry);
    if (!dice.falls(0.1)) return [entry];
    return [this.#named(count, twisted(dice, entry, { onDisk, others: [] }) as AnyEntry)];
  }
  /** Under the id that it has by rights, so that it is not for its id that it is refused; now and then not. */
  #named<One extends AnyEntry>(count: CountId, lie: One): One {
    if (this.#dice.falls(0.05) || typeof lie.id !== "string") return lie;
    const named = revouched(lie);
    this.#counts.set(named.id, count);
    return named;
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
