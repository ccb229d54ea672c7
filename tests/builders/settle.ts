import { act } from "@testing-library/react";

/** More than the longest chain in a screen's test takes (a tap, the disk in memory, the hub in memory, the page). */
const turns = 25;

/**
 * Lets everything happen that is under way (the disk in memory, a hub in memory, the page).
 * Counts turns of the event loop and not only time: on a busy machine one turn takes as long as
 * twenty on an idle one, and a test that waits for 20 ms has waited for nothing.
 */
export async function settle(milliseconds = 20): Promise<void> {
  await act(async () => {
    const until = performance.now() + milliseconds;
    for (let turn = 0; turn < turns || performance.now() < until; turn += 1) {
      await new Promise((done) => setTimeout(done, 0));
    }
  });
}
