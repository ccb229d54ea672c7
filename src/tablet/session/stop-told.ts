import { useRef } from "react";
import { type FloorNow, floorNow, isToldLate } from "../../line/floor.ts";
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

/** The stop that stands, and who knows of it as far as this device can say; undefined while the floor goes on. */
export function useStop(notebook: Notebook): Stop | undefined {
  const { book, news, link, pass } = notebook;
  const first = useRef<{ entry: string; isLate: boolean }>(undefined);
  const floor = floorNow(book, news.floor);
  if (!floor?.stopped) return undefined;
  const isOwn = floor.device === pass.device;
  const isUnheard = isOwn && !notebook.outbox.isSent(floor.entry);
  // As it was when it was heard, or answered: a stop that stands for long is no late one.
  if (!isUnheard && first.current?.entry !== floor.entry)
    first.current = {
      entry: floor.entry,
      isLate: isToldLate(book, floor, notebook.nowMs()),
    };
  const isLate = !isUnheard && first.current?.isLate === true;
  const isDeaf = link !== "live";
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
}
