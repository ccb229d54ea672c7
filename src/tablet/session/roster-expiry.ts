import type { GradingId } from "../../book/identity.ts";
import type { Pass, TabletStore } from "../../ports/tablet-store.ts";
import type { Notebook } from "./notebook.ts";

/** How long a tablet that hears nothing from a hub keeps the names of children. Milliseconds. */
export const ROSTER_KEPT_MS = 7 * 24 * 60 * 60 * 1000;
/** Removed with the names: whatever describes a candidate. The panel's own names stay. */
const ABOUT_CANDIDATES = ["candidate", "health", "text"] as const;

/** Whether a device's names are due: never the chief's, where without a hub the only copy is. */
const isDue = (pass: Pass, nowMs: number): boolean =>
  !pass.roles.includes("chief") &&
  pass.rosterDroppedAtMs === undefined &&
  nowMs - pass.lastContactMs > ROSTER_KEPT_MS;

/**
 * Removes names, notes and health words of belt tests whose hub this device has not heard for seven days.
 * Marks stay, and so does everything that no hub has yet, with its words. The next contact brings the names back.
 *
 * @param open  the notebooks in use: one on a live line is in contact now, and is noted so.
 * @returns the gradings whose names are gone now.
 */
export async function expireRosters(
  store: TabletStore,
  nowMs: number,
  open: ReadonlyMap<GradingId, Notebook> = new Map(),
): Promise<GradingId[]> {
  const gone: GradingId[] = [];
  for (const pass of await store.passes()) {
    const notebook = open.get(pass.grading);
    if (notebook?.link === "live") {
      await store.keepPass({ ...pass, lastContactMs: nowMs });
    } else if (isDue(pass, nowMs)) {
      const dropped = await store.dropSides(pass.grading, ABOUT_CANDIDATES, nowMs);
      for (const id of dropped) notebook?.sides.delete(id);
      const now = await store.pass(pass.grading);
      if (now) notebook?.tookRoles(now);
      gone.push(pass.grading);
    }
  }
  return gone;
}
