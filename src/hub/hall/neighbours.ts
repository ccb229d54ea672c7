import type { Clock } from "../../ports/clock.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import type { StoreNews } from "../../ports/store-news.ts";

const ADDRESS = "hub:";
const NAME = "hub-name:";
/** A hub says so often that it is there, and is told of for so long after it last did: it may be back before the day is over. Milliseconds. */
const SAY_EVERY_MS = 60_000;
const TOLD_FOR_MS = 24 * 60 * 60 * 1000;

/** The addresses of all hubs on one store, this one's first. Tablets go over to another when theirs is away. */
export class Neighbours {
  readonly #door: DoorTables;
  readonly #news: StoreNews;
  readonly #clock: Clock;
  readonly #listeners = new Set<() => void>();
  readonly #stops: (() => void)[];
  #own: readonly string[] = [];
  #ownNames: readonly string[] = [];
  #all: readonly string[] = [];
  #names: readonly string[] = [];

  constructor(door: DoorTables, news: StoreNews, clock: Clock) {
    this.#door = door;
    this.#news = news;
    this.#clock = clock;
    const look = () => void this.#look().catch(() => undefined);
    this.#stops = [
      news.onNews((one) => one.of === "hubs" && look()),
      news.onHearing((isHearing) => isHearing && look()),
      clock.every(SAY_EVERY_MS, () => void this.#sayHere().catch(() => undefined)),
    ];
  }

  /** Origins to dial, such as `http://192.168.1.20:8080`. */
  get addresses(): readonly string[] {
    return this.#all;
  }
  /** Whether a page of this origin was served by a hub on this store, under whichever of its names. */
  has(origin: string): boolean {
    return this.#all.includes(origin) || this.#names.includes(origin);
  }
  onChange(listener: () => void): void {
    this.#listeners.add(listener);
  }

  /** This hub listens now. @param names  further origins of its pages, which nobody should dial: a hub that is away is away under all of them. */
  async enter(addresses: readonly string[], names: readonly string[]): Promise<void> {
    this.#own = addresses;
    this.#ownNames = names;
    await this.#sayHere();
    this.#news.tell({ of: "hubs" });
  }
  /** It stays on the list, for it may come back; whoever finds it away tries the next. */
  leave(): void {
    for (const stop of this.#stops) stop();
  }

  async #sayHere(): Promise<void> {
    const now = String(this.#clock.nowMs());
    for (const address of this.#own) await this.#door.keepSetting(ADDRESS + address, now);
    for (const name of this.#ownNames) await this.#door.keepSetting(NAME + name, now);
    await this.#look();
  }
  async #look(): Promise<void> {
    this.#names = await this.#told(NAME);
    const all = [...new Set([...this.#own, ...(await this.#told(ADDRESS))])];
    if (all.join() === this.#all.join()) return;
    this.#all = all;
    for (const listener of this.#listeners) listener();
  }
  async #told(prefix: string): Promise<string[]> {
    const now = this.#clock.nowMs();
    return (await this.#door.settings(prefix))
      .filter(({ value }) => now - Number(value) < TOLD_FOR_MS)
      .map(({ name }) => name.slice(prefix.length));
  }
}
