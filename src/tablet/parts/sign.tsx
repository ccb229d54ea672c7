import type { ComponentProps } from "react";

interface SignProps extends Omit<ComponentProps<"svg">, "role" | "aria-label" | "aria-hidden"> {
  /** What the drawing says; without it the words beside it speak, and a reader passes it over. */
  label: string | undefined;
}

/** A drawing with a name of its own, or with none. */
export function Sign({ label, children, ...drawn }: SignProps) {
  return label === undefined ? (
    <svg aria-hidden="true" {...drawn}>
      {children}
    </svg>
  ) : (
    <svg role="img" aria-label={label} {...drawn}>
      {children}
    </svg>
  );
}
