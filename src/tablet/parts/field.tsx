import { type ReactNode, useId } from "react";
import fieldWords from "../../words/en/fields.json" with { type: "json" };
import css from "./field.module.css";
import { FieldFault } from "./field-fault.tsx";
import { useSay } from "./use-say.ts";

export interface FieldWords {
  label: string;
  hint?: string | undefined;
  /** What is wrong and what to do; absent when all is well. */
  fault?: string | undefined;
  needed?: boolean | undefined;
}

export interface FieldLinks {
  id: string;
  "aria-describedby": string | undefined;
  "aria-invalid": true | undefined;
  required: boolean;
}

/** A label over its control, with the hint before it and the fault after it, tied for a reader. */
export function Field({
  label,
  hint,
  fault,
  needed = false,
  children,
}: FieldWords & { children: (links: FieldLinks) => ReactNode }) {
  const say = useSay(fieldWords);
  const id = useId();
  const described = [hint && `${id}-hint`, fault && `${id}-fault`].filter(Boolean).join(" ");
  return (
    <div className={css.root} data-part="field">
      <label htmlFor={id}>
        {label}
        {needed && <span className={css.needed}>{say("required")}</span>}
      </label>
      {hint !== undefined && (
        <span className="quiet" id={`${id}-hint`}>
          {hint}
        </span>
      )}
      {children({
        id,
        "aria-describedby": described || undefined,
        "aria-invalid": fault === undefined ? undefined : true,
        required: needed,
      })}
      {fault !== undefined && <FieldFault id={`${id}-fault`}>{fault}</FieldFault>}
    </div>
  );
}
