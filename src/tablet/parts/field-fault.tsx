import type { ReactNode } from "react";
import css from "./field-fault.module.css";

/** What is wrong with what was filled in, and what to do; said at once. */
export function FieldFault({ id, children }: { id?: string; children: ReactNode }) {
  return (
    <span className={css.root} data-part="field-fault" id={id} role="alert">
      {children}
    </span>
  );
}
