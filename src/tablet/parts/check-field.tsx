import css from "./check-field.module.css";

interface CheckFieldProps {
  label: string;
  checked: boolean;
  disabled?: boolean;
  onChange: (checked: boolean) => void;
}

/** Yes or no, with a whole row to tap. */
export function CheckField({ label, checked, disabled = false, onChange }: CheckFieldProps) {
  return (
    <label className={css.root} data-part="check-field">
      <input
        type="checkbox"
        checked={checked}
        disabled={disabled}
        onChange={(event) => onChange(event.currentTarget.checked)}
      />
      <span>{label}</span>
    </label>
  );
}
