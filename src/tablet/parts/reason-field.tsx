import fieldWords from "../../words/en/fields.json" with { type: "json" };
import { TextAreaField } from "./text-area-field.tsx";
import { useSay } from "./use-say.ts";

interface ReasonFieldProps {
  /** What the reason is for, where “Reason” does not say enough. */
  label?: string;
  /** Somebody tried to go on without one. */
  isMissing: boolean;
  value: string;
  onChange: (value: string) => void;
}

/** Why a chief examiner did what the record must explain. */
export function ReasonField({ label, isMissing, value, onChange }: ReasonFieldProps) {
  const say = useSay(fieldWords);
  return (
    <TextAreaField
      label={label ?? say("reason")}
      hint={say("reason-hint")}
      fault={isMissing ? say("reason-missing") : undefined}
      needed
      rows={2}
      maxLength={2000}
      value={value}
      onChange={onChange}
    />
  );
}
