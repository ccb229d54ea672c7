import { useSyncExternalStore } from "react";

/** 210 mm at 96 px an inch. */
const PAPER = 794;

function subscribe(listener: () => void): () => void {
  addEventListener("resize", listener);
  return () => removeEventListener("resize", listener);
}

/** How much smaller than paper the page must be drawn to fit beside the list, or under it on a narrow screen. */
export function usePaperZoom(): number {
  const width = useSyncExternalStore(subscribe, () => innerWidth);
  const room = width > 1000 ? width - 340 - 56 : width - 32;
  return Math.min(1, Math.floor((100 * room) / PAPER) / 100);
}
