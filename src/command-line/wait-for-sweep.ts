import type { OpenStore } from "../hub/store/store-home.ts";
import { sayTerminal } from "./say-terminal.ts";

const TRIES = 20;
const BETWEEN_MS = 500;

/** Waits until what was erased is off the disk too, and says so where that takes somebody else. */
export async function waitForSweep(
  { sweep, place }: Pick<OpenStore, "sweep" | "place">,
  err: (text: string) => void,
): Promise<void> {
  let swept = await sweep();
  for (let tries = 1; swept === "waiting" && tries < TRIES; tries++) {
    await new Promise((done) => setTimeout(done, BETWEEN_MS));
    swept = await sweep();
  }
  if (swept !== "done") err(sayTerminal(`unswept-${swept}`, { place }));
}
