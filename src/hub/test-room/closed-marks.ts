import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { GradingRooms } from "./grading-rooms.ts";
import { TitlePages } from "./title-pages.ts";

/**
 * A belt test of this hub in which marks are still closed; undefined where there is none.
 * A copy holds the marks of all tests as they are, so whoever gets one then reads before the reveal. Only tests that are not closed are opened for it.
 * Of a damaged one nobody knows: it counts as one.
 */
export async function testWithClosedMarks(
  store: ScorebookStore,
  rooms: GradingRooms,
): Promise<{ title: string | undefined } | undefined> {
  const gradings = (await store.gradings()).map(({ grading }) => grading);
  for (const { grading, title, state } of await new TitlePages(store).of(gradings)) {
    if (state === "closed") continue;
    const room = await rooms.room(grading);
    if (room.lastUnsealed !== room.last || room.trouble?.code === "TEST_DAMAGED") return { title };
  }
  return undefined;
}
