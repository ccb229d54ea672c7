import { useSyncExternalStore } from "react";

/** How many candidates stand side by side on a page of this width: about 96 px each, so that no name is broken, the labels' gutter left out. */
const columnsAt = (width: number): number =>
  width < 430 ? 2 : width < 560 ? 3 : width < 1000 ? 6 : width < 1300 ? 7 : 9;

function subscribe(listener: () => void): () => void {
  addEventListener("resize", listener);
  return () => removeEventListener("resize", listener);
}

export const useColumns = (): number =>
  columnsAt(useSyncExternalStore(subscribe, () => innerWidth));
