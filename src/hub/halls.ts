import type { GradingId } from "../core/identity.ts";
import type { Clock } from "../ports/clock.ts";
import type { FrontDesk } from "./front-desk.ts";
import type { GradingRoom } from "./grading-room.ts";
import { Hall } from "./hall.ts";
import type { Rooms } from "./rooms.ts";

/** The halls of this hub: who is on the line of each grading. */
export class Halls {
  readonly #rooms: Rooms;
  readonly #desk: FrontDesk;
  readonly #clock: Clock;
  readonly #halls = new Map<GradingId, Hall>();

  constructor(rooms: Rooms, desk: FrontDesk, clock: Clock) {
    this.#rooms = rooms;
    this.#desk = desk;
    this.#clock = clock;
  }

  async hall(grading: GradingId): Promise<{ room: GradingRoom; hall: Hall }> {
    const room = await this.#rooms.room(grading);
    await room.refresh();
    let hall = this.#halls.get(grading);
    if (!hall) this.#halls.set(grading, (hall = new Hall(room, this.#desk, this.#clock)));
    return { room, hall };
  }

  /** Everybody hangs up; nobody is told that it is for good. */
  close(): void {
    for (const hall of this.#halls.values()) {
      hall.hangUp();
      hall.close();
    }
  }
}
