import type { ComponentProps, ReactNode } from "react";
import "./key.css";

/**
 * `firm` a heavier border, for what closes or undoes; `quiet` for what is seldom wanted;
 * `ink` filled, the one next step of a page; `seal` filled in the seal, a hand confirms.
 */
export type KeyKind = "plain" | "firm" | "quiet" | "ink" | "seal";

interface KeyProps extends Omit<ComponentProps<"button">, "children"> {
  kind?: KeyKind;
  /** A second, smaller line. */
  under?: ReactNode;
  /** A toggle says whether it is down. */
  pressed?: boolean;
  children: ReactNode;
}

/** Anything that is pressed: never smaller than 12 mm. */
export function Key({ kind = "plain", under, pressed, children, className, ...rest }: KeyProps) {
  return (
    <button
      type="button"
      {...rest}
      className={className ? `key ${className}` : "key"}
      data-kind={kind}
      aria-pressed={pressed}
    >
      <span>{children}</span>
      {under !== undefined && (
        <>
          {" "}
          <span className="key-under">{under}</span>
        </>
      )}
    </button>
  );
}
