import type { ComponentProps, ReactNode } from "react";
import css from "./key.module.css";

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

/** What a link or a label bears that looks like a key. */
export const keyLook = { className: css.root, "data-part": "key" };

/** Anything that is pressed: never smaller than 12 mm. */
export function Key({ kind = "plain", under, pressed, children, className, ...rest }: KeyProps) {
  return (
    <button
      type="button"
      {...rest}
      {...keyLook}
      className={className ? `${keyLook.className} ${className}` : keyLook.className}
      data-kind={kind}
      aria-pressed={pressed}
    >
      <KeyWords under={under}>{children}</KeyWords>
    </button>
  );
}

/** What stands on a key. */
export function KeyWords({ under, children }: Pick<KeyProps, "under" | "children">) {
  return (
    <>
      <span>{children}</span>
      {under !== undefined && (
        <>
          {" "}
          <span className={css.under} data-part="key-under">
            {under}
          </span>
        </>
      )}
    </>
  );
}
