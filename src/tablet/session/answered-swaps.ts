import * as z from "zod/mini";

const KEY = "evenhand-answered-swaps";
/** More than a day has; the oldest go. */
const MOST = 200;
const Answered = z.array(z.string());

/** Swaps of lanes about which a judge has said on this device that the marks are right as they are. */
export function answeredSwaps(): readonly string[] {
  try {
    const read = Answered.safeParse(JSON.parse(localStorage.getItem(KEY) ?? "[]"));
    return read.success ? read.data : [];
  } catch {
    return [];
  }
}

export function keepAnsweredSwaps(keys: readonly string[]): void {
  try {
    localStorage.setItem(KEY, JSON.stringify([...answeredSwaps(), ...keys].slice(-MOST)));
  } catch {
    // Where nothing can be kept the question comes again when the screen does.
  }
}
