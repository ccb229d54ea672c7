/** What a key on the keyboard means while a cell has the focus. */
export type GridKey =
  | { kind: "move"; column: number; row: number }
  | { kind: "level"; level: number }
  | { kind: "clear" }
  | { kind: "rest" }
  | { kind: "undo" }
  | { kind: "not-seen" };

/**
 * Arrows move by what the eye sees, so `across` turns with flipped lanes; digits give a level, 0 and backspace take it off,
 * N is not seen, R rest, U undo. Null for every other key, and with Ctrl, Alt or Meta, which belong to the browser.
 */
export function gridKey(
  event: { key: string; ctrlKey: boolean; altKey: boolean; metaKey: boolean },
  levels: number,
  flipped: boolean,
): GridKey | null {
  if (event.ctrlKey || event.altKey || event.metaKey) return null;
  const across = flipped ? -1 : 1;
  switch (event.key) {
    case "ArrowLeft":
      return { kind: "move", column: -across, row: 0 };
    case "ArrowRight":
      return { kind: "move", column: across, row: 0 };
    case "ArrowUp":
      return { kind: "move", column: 0, row: -1 };
    case "ArrowDown":
      return { kind: "move", column: 0, row: 1 };
    case "0":
    case "Backspace":
    case "Delete":
      return { kind: "clear" };
    case "r":
    case "R":
      return { kind: "rest" };
    case "u":
    case "U":
      return { kind: "undo" };
    case "n":
    case "N":
      return { kind: "not-seen" };
  }
  const level = Number(event.key);
  return Number.isInteger(level) && level >= 1 && level <= levels ? { kind: "level", level } : null;
}
