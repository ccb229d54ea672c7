import { useState } from "react";
import { CheckField } from "../../parts/check-field.tsx";
import { SelectField } from "../../parts/select-field.tsx";
import { TextAreaField } from "../../parts/text-area-field.tsx";
import { TextField } from "../../parts/text-field.tsx";
import css from "./parts-page.module.css";

/** What is written, chosen and ticked. */
export function FormScenes() {
  const [given, setGiven] = useState("Mia");
  const [rank, setRank] = useState<"yellow" | "orange" | "">("");
  const [reason, setReason] = useState("");
  const [fit, setFit] = useState(true);
  return (
    <div className={css.partsFields}>
      <TextField
        label="Given name"
        hint="As she is called on the floor"
        needed
        value={given}
        onChange={setGiven}
      />
      <TextField
        label="Number"
        value="1O4"
        fault="A number has digits only. Is the O a zero?"
        onChange={() => undefined}
      />
      <SelectField
        label="Testing for"
        none="Choose a belt"
        value={rank}
        options={[
          { value: "yellow", label: "Yellow belt" },
          { value: "orange", label: "Orange belt" },
        ]}
        onChange={setRank}
      />
      <TextField label="Code" value="locked" disabled onChange={() => undefined} />
      <TextAreaField label="Reason" value={reason} onChange={setReason} />
      <CheckField label="Fit to take part today" checked={fit} onChange={setFit} />
    </div>
  );
}
