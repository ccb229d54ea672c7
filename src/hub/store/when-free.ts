import { type Fault, FaultError } from "../../book/faults.ts";

/** Whoever writes in the file beside the hub is waited for so long; told of after so long; and looked for so often. Milliseconds. */
const PATIENCE_MS = 10_000;
const TOLD_AFTER_MS = 2_000;
const AGAIN_AFTER_MS = 50;
/** So long one that waits holds up everybody else in this process, before it lets them go on. Milliseconds. */
export const HELD_UP_MS = 20;

/** Does something with a store: at once, or where another program writes in its file as soon as that lets go. */
export type WhenFree = <T>(work: () => T) => T | Promise<T>;

/**
 * The library that reads the file waits by standing still, and a hub would hear nobody meanwhile, not even a stop. Here only what needs the file waits.
 *
 * @param tell  told once of each program that does not let go
 * @returns does the work; it rejects with FaultError STORE_BUSY after ten seconds
 */
export function whenFree(path: string, tell: (fault: Fault) => void = () => undefined): WhenFree {
  const busy: Fault = { code: "STORE_BUSY", with: { file: path } };
  let isTold = false;
  async function again<T>(work: () => T, sinceMs: number): Promise<T> {
    for (;;) {
      await new Promise((done) => setTimeout(done, AGAIN_AFTER_MS));
      try {
        const result = work();
        isTold = false;
        return result;
      } catch (error) {
        if (!isBusy(error)) throw error;
        const waitedMs = performance.now() - sinceMs;
        if (waitedMs > TOLD_AFTER_MS && !isTold) {
          isTold = true;
          tell(busy);
        }
        if (waitedMs > PATIENCE_MS) throw new FaultError(busy, { cause: error });
      }
    }
  }
  return (work) => {
    const sinceMs = performance.now();
    try {
      return work();
    } catch (error) {
      if (!isBusy(error)) throw error;
      return again(work, sinceMs);
    }
  };
}

const isBusy = (error: unknown): boolean => {
  const { code, cause } = error as { code?: unknown; cause?: unknown };
  return /^SQLITE_(BUSY|LOCKED)/.test(String(code)) || (cause !== undefined && isBusy(cause));
};
