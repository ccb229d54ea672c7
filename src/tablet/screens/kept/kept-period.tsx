import { type FormEvent, useState } from "react";
import { namesMonths } from "../../../belt-test/scorebook/retention.ts";
import type { NamesKept } from "../../../line/doors.ts";
import { dayAt } from "../../../words/dates.ts";
import keptWords from "../../../words/en/kept.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { SelectField } from "../../parts/select-field.tsx";
import { TextField } from "../../parts/text-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import css from "./kept.module.css";

interface KeptPeriodProps {
  kept: NamesKept;
  onChoose: (rule: NamesKept["rule"]) => Promise<boolean>;
}

/** For how many months this hub keeps names, and what happens then. */
export function KeptPeriod({ kept: { rule, gone }, onChoose }: KeptPeriodProps) {
  const say = useSay(keptWords);
  const [months, setMonths] = useState(String(rule.months));
  const [then, setThen] = useState<"ask" | "itself">(rule.byItself ? "itself" : "ask");
  const [isTried, setTried] = useState(false);
  const [isKept, setKept] = useState(false);
  const number = /^\d{1,3}$/.test(months.trim()) ? Number(months) : Number.NaN;
  const isRight = number >= namesMonths.least && number <= namesMonths.most;
  const { least, most } = namesMonths;

  async function keep(event: FormEvent) {
    event.preventDefault();
    setTried(true);
    if (isRight) setKept(await onChoose({ months: number, byItself: then === "itself" }));
  }
  return (
    <section aria-labelledby="period">
      <h2 id="period">{say("period")}</h2>
      <p>{say("period-text")}</p>
      <form className={css.period} noValidate onSubmit={(event) => void keep(event)}>
        <TextField
          label={say("period-months")}
          hint={say("period-months-hint", { least, most })}
          inputMode="numeric"
          value={months}
          maxLength={3}
          fault={isTried && !isRight ? say("period-wrong", { least, most }) : undefined}
          onChange={(typed) => {
            setMonths(typed);
            setKept(false);
          }}
        />
        <SelectField
          label={say("period-then")}
          value={then}
          options={(["ask", "itself"] as const).map((value) => ({
            value,
            label: say(`period-${value}`),
          }))}
          onChange={(value) => {
            setThen(value);
            setKept(false);
          }}
        />
        <div className={css.keys}>
          <Key type="submit">{say("period-keep")}</Key>
          <span role="status">{isKept && say("period-kept")}</span>
        </div>
      </form>
      {gone.map(({ grading, atMs, people }) => (
        <p key={grading} className="quiet">
          {say("gone", { day: dayAt(atMs, say.locale), people })}
        </p>
      ))}
    </section>
  );
}
