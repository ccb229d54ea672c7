import type { ComponentProps } from "react";
import { Field, type FieldWords } from "./field.tsx";

interface SelectFieldProps<Value extends string>
  extends FieldWords,
    Omit<ComponentProps<"select">, "onChange" | "value" | "required" | "children"> {
  value: Value | "";
  options: readonly { value: Value; label: string }[];
  /** Stands first and means nothing is chosen. */
  none?: string;
  onChange: (value: Value) => void;
}

/** One of a few; the system's own list, which every tablet draws large enough. */
export function SelectField<Value extends string>(props: SelectFieldProps<Value>) {
  const { label, hint, fault, needed, options, none, onChange, ...select } = props;
  return (
    <Field label={label} hint={hint} fault={fault} needed={needed}>
      {(links) => (
        <select
          {...select}
          {...links}
          onChange={(event) => {
            const chosen = options.find(({ value }) => value === event.currentTarget.value);
            if (chosen) onChange(chosen.value);
          }}
        >
          {none !== undefined && <option value="">{none}</option>}
          {options.map((option) => (
            <option key={option.value} value={option.value}>
              {option.label}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}
