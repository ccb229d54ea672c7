import { makeReady } from "../../src/set-up/make-ready.mjs";

/** Builds the app once, before the first of the journeys that stand side by side. */
export async function setup(): Promise<void> {
  if (!(await makeReady())) throw new Error("the app could not be built");
}
