import type { ReactNode } from "react";
import css from "./notice.module.css";

interface NoticeProps {
  /** `urgent` is spoken at once; `done` wears the seal, for a hand just did it. */
  kind?: "plain" | "quiet" | "done" | "urgent";
  title?: string;
  children?: ReactNode;
  keys?: ReactNode;
}

/** Something a person should know, with what they can do about it. */
export function Notice({ kind = "plain", title, children, keys }: NoticeProps) {
  return (
    <div
      className={css.root}
      data-part="notice"
      data-kind={kind}
      role={kind === "urgent" ? "alert" : "status"}
    >
      <div>
        {title !== undefined && <strong>{title}</strong>}
        {children !== undefined && <p>{children}</p>}
      </div>
      {keys !== undefined && <div className={css.keys}>{keys}</div>}
    </div>
  );
}
