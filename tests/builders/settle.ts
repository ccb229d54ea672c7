import { act } from "@testing-library/react";

/** What a busy machine needs no more of: the longest chain in a screen's test (a tap, the disk, the hub in memory, the page) is told apart from it by a factor of three. */
const turns = 60;

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
