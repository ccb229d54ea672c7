import type { ComponentProps } from "react";
import { Field, type FieldWords } from "./field.tsx";

interface TextAreaFieldProps
  extends FieldWords,
    Omit<ComponentProps<"textarea">, "onChange" | "value" | "required"> {
  value: string;
  onChange: (value: string) => void;
}

/** Several lines of writing. */
export function TextAreaField({
  label,
  hint,
  fault,
  needed,
  onChange,
  ...area
}: TextAreaFieldProps) {
  return (
    <Field label={label} hint={hint} fault={fault} needed={needed}>
      {(links) => (
        <textarea {...area} {...links} onChange={(event) => onChange(event.currentTarget.value)} />
      )}
    </Field>
  );
}
