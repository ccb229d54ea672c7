import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { nobodyElse, type StoreNews } from "../../ports/store-news.ts";
import { Rooms } from "../room/rooms.ts";
import { GradingRoom, type GradingRoomSettings } from "./grading-room.ts";

/** The belt tests open at this hub. */
export type GradingRooms = Rooms<GradingRoom>;

export function gradingRooms(
  store: ScorebookStore,
  hub: string,
  {
    news = nobodyElse,
    lostPlans,
    ...settings
  }: GradingRoomSettings & { news?: StoreNews | undefined } = {},
): GradingRooms {
  const its: GradingRoomSettings = {
    ...settings,
    onWrote: (grading, upTo) => news.tell({ of: "entries", grading, upTo }),
    ...(lostPlans && {
      lostPlans: {
        ...lostPlans,
        async note(grading, isLost) {
          await lostPlans.note(grading, isLost);
          news.tell({ of: "plan", grading });
        },
      },
    }),
  };
  return new Rooms((grading) => GradingRoom.open(grading, store, hub, its), {
    news,
    clock: settings.clock,
  });
}
