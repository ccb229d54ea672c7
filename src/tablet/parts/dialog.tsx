import { type ReactNode, useContext, useEffect, useId, useRef } from "react";
import partsWords from "../../words/en/parts.json" with { type: "json" };
import { AtAnyMoment } from "./at-any-moment.ts";
import css from "./dialog.module.css";
import { Key } from "./key.tsx";
import { useSay } from "./use-say.ts";

interface DialogProps {
  open: boolean;
  title: string;
  children?: ReactNode;
  /** What can be done; "Close" stands before them. */
  keys?: ReactNode;
  /** Another word than "Close". */
  closeWord?: string;
  /** Closed by its key, Escape or the system's back. */
  onClose: () => void;
}

/** A question that must be answered before anything else. The browser's own dialog holds the focus. */
export function Dialog({ open, title, children, keys, closeWord, onClose }: DialogProps) {
  const say = useSay(partsWords);
  const ref = useRef<HTMLDialogElement>(null);
  const name = useId();
  const atAnyMoment = useContext(AtAnyMoment);
  useEffect(() => {
    const dialog = ref.current;
    if (!dialog || dialog.open === open) return;
    if (open) dialog.showModal();
    else dialog.close();
  }, [open]);
  return (
    <dialog
      ref={ref}
      className={css.root}
      aria-labelledby={name}
      onCancel={(event) => {
        event.preventDefault();
        onClose();
      }}
      onClose={() => {
        if (open) onClose();
      }}
    >
      {open && (
        <div className={css.body}>
          <div className={css.head}>
            <h2 id={name}>{title}</h2>
            {atAnyMoment}
          </div>
          {children}
          <div className={css.keys}>
            <Key onClick={onClose}>{closeWord ?? say("close")}</Key>
            {keys}
          </div>
        </div>
      )}
    </dialog>
  );
}
