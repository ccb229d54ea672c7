import type { GradingId } from "../../book/identity.ts";
import { type Clock, platformClock } from "../../ports/clock.ts";
import { nobodyElse, type StoreNews } from "../../ports/store-news.ts";

/** Where others write to the store, every open book is looked at so often, whatever was told of it. Milliseconds. */
const LOOK_EVERY_MS = 2_000;

/** What is asked of an open book here. */
interface OpenRoom {
  /** The last line's place. */
  readonly upTo: number;
  refresh(): Promise<void>;
  flush(): Promise<void>;
  close(): void;
}

/** The books open at this hub, each read from the store when first asked for, and read on when another hub wrote. */
export class Rooms<Room extends OpenRoom> {
  readonly #open: (grading: GradingId) => Promise<Room>;
  readonly #rooms = new Map<GradingId, Promise<Room>>();
  readonly #stops: (() => void)[] = [];
  #isLooking = false;

  constructor(
    open: (grading: GradingId) => Promise<Room>,
    { news, clock = platformClock }: { news: StoreNews; clock?: Clock | undefined },
  ) {
    this.#open = open;
    if (news === nobodyElse) return;
    this.#stops.push(
      news.onNews((one) => {
        if (one.of === "entries") void this.#readOn(one.grading, one.upTo);
        if (one.of === "plan") void this.#readOn(one.grading, Number.POSITIVE_INFINITY);
      }),
      news.onHearing((isHearing) => isHearing && void this.#readAllOn()),
      clock.every(LOOK_EVERY_MS, () => void this.#readAllOn()),
    );
  }
  room(grading: GradingId): Promise<Room> {
    let room = this.#rooms.get(grading);
    if (!room) {
      room = this.#open(grading);
      this.#rooms.set(grading, room);
      // A store that was away for a moment is asked again the next time.
      room.catch(() => this.#rooms.delete(grading));
    }
    return room;
  }
  async flush(): Promise<void> {
    const rooms = await Promise.allSettled(this.#rooms.values());
    await Promise.all(
      rooms.map((room) => (room.status === "fulfilled" ? room.value.flush() : undefined)),
    );
  }
  /** Hears no news any more, and waits for nothing. */
  close(): void {
    for (const stop of this.#stops) stop();
    for (const room of this.#rooms.values())
      void room.then(
        (one) => one.close(),
        () => undefined,
      );
  }

  /** One after another, so that looking round takes one connection and never two rounds at once. */
  async #readAllOn(): Promise<void> {
    if (this.#isLooking) return;
    this.#isLooking = true;
    for (const grading of this.#rooms.keys()) await this.#readOn(grading, Number.POSITIVE_INFINITY);
    this.#isLooking = false;
  }
  async #readOn(grading: GradingId, upTo: number): Promise<void> {
    try {
      const room = await this.#rooms.get(grading);
      if (room && room.upTo < upTo) await room.refresh();
    } catch {
      // A store that is away is read on from when it is back; nobody was told anything wrong.
    }
  }
}
