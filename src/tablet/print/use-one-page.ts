import { useLayoutEffect, useRef } from "react";

/** Sizes tried, largest first, in parts of the usual; below the last a page is not read. */
const SIZES = [1, 0.95, 0.9, 0.85, 0.8, 0.76];

/** Keeps a page one page: where words are many, they are set smaller until all of them fit. */
export function useOnePage(): React.RefObject<HTMLElement | null> {
  const page = useRef<HTMLElement>(null);
  useLayoutEffect(() => {
    const element = page.current;
    if (!element) return;
    setToFit(element);
    // The face may arrive after the words, and is wider than what stood in for it.
    let isHere = true;
    void document.fonts?.ready.then(() => {
      if (isHere) setToFit(element);
    });
    return () => {
      isHere = false;
    };
  });
  return page;
}

function setToFit(page: HTMLElement): void {
  for (const size of SIZES) {
    page.style.setProperty("--sheet-size", String(size));
    if (page.scrollHeight <= page.clientHeight + 1) return;
  }
}
