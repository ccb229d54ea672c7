import type { ReactNode } from "react";
import css from "./empty-state.module.css";

interface EmptyStateProps {
  title: string;
  /** What would fill this place, and who does that. */
  children?: ReactNode;
  keys?: ReactNode;
}

/** Nothing here yet: a line nobody has marked. */
export function EmptyState({ title, children, keys }: EmptyStateProps) {
  return (
    <div className={css.root}>
      <span className={css.line} aria-hidden="true" />
      <h2>{title}</h2>
      {children !== undefined && <p>{children}</p>}
      {keys}
    </div>
  );
}
