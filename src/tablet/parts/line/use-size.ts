import { type RefObject, useLayoutEffect, useRef, useState } from "react";

export interface Size {
  width: number;
  height: number;
  /** The page's letter size against the usual 16 pixels. */
  textScale: number;
}

/** An element's size in whole pixels, followed; `before` until it is on the page (and where a page has no geometry). */
export function useSize<E extends HTMLElement>(before: Size): [RefObject<E | null>, Size] {
  const ref = useRef<E>(null);
  const [size, setSize] = useState(before);
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element || typeof ResizeObserver === "undefined") return;
    const measure = () => {
      const { clientWidth: width, clientHeight: height } = element;
      const letter = Number.parseFloat(getComputedStyle(document.documentElement).fontSize);
      const textScale = letter > 0 ? letter / 16 : 1;
      if (width > 0)
        setSize((old) =>
          old.width === width && old.height === height && old.textScale === textScale
            ? old
            : { width, height, textScale },
        );
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [ref, size];
}
