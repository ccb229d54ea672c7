import type { BoardLayout } from "./board-layout.ts";
import { hit, type Target } from "./hit.ts";

/** What an event on the board means: by its point, or, for a reader's press without one, by the element pressed. */
export function targetOf(
  event: MouseEvent,
  grid: HTMLElement | null,
  layout: BoardLayout,
  rows: number,
): Target | null {
  const element = event.target instanceof Element ? event.target : null;
  const box = grid?.getBoundingClientRect();
  if (box && box.width > 0 && (event.clientX !== 0 || event.clientY !== 0)) {
    if (!grid?.contains(element)) return null;
    return hit(layout, rows, { x: event.clientX - box.left, y: event.clientY - box.top });
  }
  const zone = element?.closest<HTMLElement>("[data-zone]")?.dataset.zone;
  const place = element?.closest<HTMLElement>("[data-cell]")?.dataset.cell;
  if (zone === undefined || place === undefined) return null;
  const [column = 0, row = 0] = place.split(" ").map(Number);
  return { column, row, zone: Number(zone) };
}
