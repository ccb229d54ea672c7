/** Time for whoever waits: the platform's, or a simulated one. */
export interface Clock {
  /** Wall clock, milliseconds since 1970. */
  nowMs(): number;
  /** Milliseconds that only grow, whatever is done to the wall clock: for how long something took or was silent. */
  steadyMs(): number;
  /** Does `work` once, so many milliseconds later; 0 is when what has come in meanwhile is read. @returns what calls it off. */
  after(ms: number, work: () => void): () => void;
  /** Does `work` again and again. @returns what ends it. */
  every(ms: number, work: () => void): () => void;
}

export const platformClock: Clock = {
  nowMs: () => Date.now(),
  steadyMs: () => performance.now(),
  after(ms, work) {
    // A browser has no setImmediate, and nothing there waits for 0.
    if (ms === 0 && typeof setImmediate === "function") {
      const soon = setImmediate(work);
      return () => clearImmediate(soon);
    }
    const timer = setTimeout(work, ms);
    return () => clearTimeout(timer);
  },
  every(ms, work) {
    const timer = setInterval(work, ms);
    return () => clearInterval(timer);
  },
};
