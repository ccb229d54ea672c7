import type { GradingId } from "../../book/identity.ts";
import type { Clock } from "../../ports/clock.ts";
import { nobodyElse, type StoreNews } from "../../ports/store-news.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import type { GradingRoom } from "../test-room/grading-room.ts";
import type { GradingRooms } from "../test-room/grading-rooms.ts";
import { Hall } from "./hall.ts";
import type { Neighbours } from "./neighbours.ts";

/** The halls of this hub: who is on the line of each grading. */
export class Halls {
  readonly #rooms: GradingRooms;
  readonly #desk: FrontDesk;
  readonly #clock: Clock;
  readonly #news: StoreNews;
  readonly #neighbours: Neighbours | undefined;
  readonly #stopHearing: () => void;
  readonly #halls = new Map<GradingId, Hall>();

  constructor(
    rooms: GradingRooms,
    desk: FrontDesk,
    clock: Clock,
    news = nobodyElse,
    neighbours?: Neighbours,
  ) {
    this.#neighbours = neighbours;
    neighbours?.onChange(() => {
      for (const hall of this.#halls.values()) hall.sayHubs(neighbours.addresses);
    });
    this.#rooms = rooms;
    this.#desk = desk;
    this.#clock = clock;
    this.#news = news;
    // Whoever cannot hear whom another hub sends out has nobody on the line; each comes back and is asked anew.
    this.#stopHearing = news.onHearing((isHearing) => {
      if (!isHearing) for (const hall of this.#halls.values()) hall.hangUp();
    });
  }

  /** Whether this hub would know it if another hub on the store sent somebody out. */
  get isHearing(): boolean {
    return this.#news.isHearing;
  }

  /** The hall of a test that somebody was on the line of. */
  open(grading: GradingId): Hall | undefined {
    return this.#halls.get(grading);
  }
  async hall(
    grading: GradingId,
  ): Promise<{ room: GradingRoom; hall: Hall; hubs: readonly string[] }> {
    const room = await this.#rooms.room(grading);
    await room.refresh();
    let hall = this.#halls.get(grading);
    if (!hall)
      this.#halls.set(grading, (hall = new Hall(room, this.#desk, this.#clock, this.#news)));
    return { room, hall, hubs: this.#neighbours?.addresses ?? [] };
  }

  /** Everybody hangs up; nobody is told that it is for good. */
  close(): void {
    this.#stopHearing();
    for (const hall of this.#halls.values()) {
      hall.hangUp();
      hall.close();
    }
  }
}
