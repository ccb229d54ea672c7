import { type ReactNode, useId } from "react";
import css from "./file-key.module.css";
import type { KeyKind } from "./key.tsx";
import { keyLook } from "./key.tsx";

interface FileKeyProps {
  kind?: KeyKind;
  /** As in HTML: ".json,application/json". */
  accept: string;
  /** More than one file may be chosen; each is given in turn. */
  several?: boolean;
  /** Before the first of them is read. */
  onChosen?: () => void;
  onFile?: (name: string, text: string) => void;
  /** In place of its text: the file itself, unread. */
  onWhole?: (file: File) => void;
  children: ReactNode;
}

/** A key that asks for a file and gives its text. The same file may be chosen twice in a row. */
export function FileKey({
  kind = "plain",
  accept,
  several = false,
  onChosen,
  onFile,
  onWhole,
  children,
}: FileKeyProps) {
  const id = useId();
  return (
    <span className={css.root} data-part="file-key">
      <input
        id={id}
        type="file"
        accept={accept}
        multiple={several}
        onChange={(event) => {
          const files = [...(event.currentTarget.files ?? [])];
          event.currentTarget.value = "";
          if (files.length > 0) onChosen?.();
          void (async () => {
            for (const file of files) {
              if (onWhole) onWhole(file);
              else onFile?.(file.name, await file.text());
            }
          })();
        }}
      />
      <label {...keyLook} data-kind={kind} htmlFor={id}>
        <span>{children}</span>
      </label>
    </span>
  );
}
