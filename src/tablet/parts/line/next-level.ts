/** What a cell holds; undefined is blank. */
export type Held = number | "not-seen" | undefined;

/** A tap on a level of a strip: the same level again makes it blank, another changes it. A small bead set by *rest* is confirmed, not cleared. */
export function afterStripTap(
  held: Held,
  how: "tapped" | "rest" | undefined,
  tapped: number | "not-seen",
): number | "not-seen" | "cleared" {
  return held === tapped && how !== "rest" ? "cleared" : tapped;
}

/**
 * A tap left or right of the line: the first gives the level next to the standard, each further one a level away from it,
 * and after the last the cell is blank again.
 */
export function afterSideTap(
  held: Held,
  side: "below" | "above",
  scale: { levels: number; meetsLevel: number },
): number | "cleared" {
  const { levels, meetsLevel } = scale;
  // Where the scale has nothing on that side, the whole cell speaks for the other.
  if (meetsLevel === 1) side = "above";
  else if (meetsLevel === levels) side = "below";
  if (side === "below") {
    if (typeof held !== "number" || held >= meetsLevel) return meetsLevel - 1;
    return held === 1 ? "cleared" : held - 1;
  }
  if (typeof held !== "number" || held <= meetsLevel) return meetsLevel + 1;
  return held === levels ? "cleared" : held + 1;
}
