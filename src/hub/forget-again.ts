import { openErasedLog } from "./storage/erased-log.ts";
import type { OpenStore } from "./storage/open-store.ts";

/**
 * A store that was put back may be older than an erasing: whoever is noted beside it as erased is erased again.
 * @returns how many names and texts went.
 */
export async function forgetAgain(
  { store, door }: Pick<OpenStore, "store" | "door">,
  dataFolder: string,
): Promise<number> {
  let gone = 0;
  for (const { grading, about } of openErasedLog(dataFolder).all()) {
    gone += await store.erase(grading, about);
    await door.forgetNames(grading, about);
  }
  return gone;
}
