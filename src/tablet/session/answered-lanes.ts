import * as z from "zod/mini";

/** More than a day has; the oldest go. */
const MOST = 200;
const KEY = "evenhand-answered-lanes";

/** Lanes of a call about which a judge has said on this device that the marks are right as they are. Where nothing can be kept it is as long as the page. */
export function answeredLanes(): readonly string[] {
  try {
    const found = z.array(z.string()).safeParse(JSON.parse(localStorage.getItem(KEY) ?? "[]"));
    return found.success ? found.data : [];
  } catch {
    return [];
  }
}

export function keepAnsweredLanes(lanes: string): void {
  try {
    localStorage.setItem(KEY, JSON.stringify([...answeredLanes(), lanes].slice(-MOST)));
  } catch {
    // The question comes again when the screen does.
  }
}
