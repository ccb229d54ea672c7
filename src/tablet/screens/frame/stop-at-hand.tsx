import { type ReactNode, useEffect, useState } from "react";
import css from "./stop-at-hand.module.css";

/** A page that is opened shows its own stop within this time. Milliseconds. */
const LOOK_EVERY_MS = 500;

/*
 * Desk or chief, half way down a long page when a child is hurt: the page's own stop has scrolled away, or the page has none.
 * Lower left: the keys of a row stand on the right.
 */
export function StopAtHand({ children }: { children: ReactNode }) {
  const [isNeeded, setNeeded] = useState(false);
  useEffect(() => {
    const look = () => {
      const keys = document.querySelectorAll("[data-part=session-screen] [data-part=stop-key]");
      setNeeded(![...keys].some(isInView));
    };
    const timer = setInterval(look, LOOK_EVERY_MS);
    addEventListener("scroll", look, { passive: true, capture: true });
    return () => {
      clearInterval(timer);
      removeEventListener("scroll", look, { capture: true });
    };
  }, []);
  return (
    <div className={`${css.root} not-on-paper`} hidden={!isNeeded}>
      {children}
    </div>
  );
}

/** Wholly, so that half a key is not looked for. */
function isInView(key: Element): boolean {
  const { top, bottom, width } = key.getBoundingClientRect();
  return width > 0 && top >= 0 && bottom <= innerHeight;
}
