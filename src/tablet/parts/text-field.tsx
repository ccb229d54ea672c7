import type { ComponentProps } from "react";
import { Field, type FieldWords } from "./field.tsx";

interface TextFieldProps
  extends FieldWords,
    Omit<ComponentProps<"input">, "onChange" | "value" | "required"> {
  value: string;
  onChange: (value: string) => void;
}

/** One line of writing. */
export function TextField({ label, hint, fault, needed, onChange, ...input }: TextFieldProps) {
  return (
    <Field label={label} hint={hint} fault={fault} needed={needed}>
      {(links) => (
        <input
          autoComplete="off"
          {...input}
          {...links}
          onChange={(event) => onChange(event.currentTarget.value)}
        />
      )}
    </Field>
  );
}
