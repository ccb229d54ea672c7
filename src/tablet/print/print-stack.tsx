import type { ReactNode } from "react";
import css from "./print-stack.module.css";

/** What the printer is given: every page in here, and nothing else. */
export function PrintStack({ children }: { children: ReactNode }) {
  return (
    <div className={css.root} data-part="print-stack" aria-hidden="true">
      {children}
    </div>
  );
}
