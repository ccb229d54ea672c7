import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { FrontDesk } from "./front-desk.ts";

/** How many belt tests a hub holds. One that came in as a file has no maker at this hub's door, and is held all the same. */
export async function heldGradings(desk: FrontDesk, store: ScorebookStore): Promise<number> {
  const kept = await store.gradings();
  const made = await desk.made();
  return made.size + kept.filter(({ grading }) => !made.has(grading)).length;
}
