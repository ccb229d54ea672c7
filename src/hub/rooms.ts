import type { GradingId } from "../core/identity.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { GradingRoom, type RoomSettings } from "./grading-room.ts";

/** The gradings open at this hub, each read from the store when first asked for. */
export class Rooms {
  readonly #store: ScorebookStore;
  readonly #hub: string;
  readonly #settings: RoomSettings;
  readonly #rooms = new Map<GradingId, Promise<GradingRoom>>();

  constructor(store: ScorebookStore, hub: string, settings: RoomSettings = {}) {
    this.#store = store;
    this.#hub = hub;
    this.#settings = settings;
  }
  room(grading: GradingId): Promise<GradingRoom> {
    let room = this.#rooms.get(grading);
    if (!room) {
      room = GradingRoom.open(grading, this.#store, this.#hub, this.#settings);
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
}
