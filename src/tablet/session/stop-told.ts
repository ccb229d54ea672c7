import { useRef } from "react";
import type { EntryId } from "../../book/identity.ts";
import { type FloorNow, isToldLate, stopsNow } from "../../line/floor.ts";
import type { Notebook } from "./notebook.ts";

/** `alone`, `asking`: nobody has heard of it as far as this device knows. `late`: told when the floor had gone on. */
type StopTold = "alone" | "asking" | "told" | "heard" | "late";

export interface Stop extends FloorNow {
  told: StopTold;
  /** Written on this device. */
  isOwn: boolean;
  /** No hub can tell this device that it is over, or it is long past: nobody is held by it. */
  mayLeave: boolean;
}

/** The stops that stand, oldest first, and who knows of each as far as this device can say; none while the floor goes on. */
export function useStops(notebook: Notebook): Stop[] {
  const { book, news, link, pass } = notebook;
  const late = useRef(new Map<EntryId, boolean>()).current;
  const isDeaf = link !== "live";
  return stopsNow(book, news.floors).map((floor) => {
    const isOwn = floor.device === pass.device;
    const isUnheard = isOwn && !notebook.outbox.isSent(floor.entry);
    // As it was when it was heard, or answered: a stop that stands for long is no late one.
    if (!isUnheard && !late.has(floor.entry))
      late.set(floor.entry, isToldLate(book, floor, notebook.nowMs()));
    const isLate = !isUnheard && late.get(floor.entry) === true;
    const told = isUnheard
      ? isDeaf
        ? "alone"
        : "asking"
      : isLate
        ? "late"
        : isOwn
          ? "told"
          : "heard";
    return { ...floor, told, isOwn, mayLeave: isDeaf || isLate };
  });
}
