import { useState } from "react";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { TextField } from "../../parts/text-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import css from "./set-up.module.css";
import type { Plan } from "./use-plan.ts";

/** What the test is called, and its day. Kept when a field is left. */
export function StepTest({ plan: { notebook, hand, did } }: { plan: Plan }) {
  const say = useSay(setUpWords);
  const { title = "", date = "" } = notebook.book.plan.opened ?? {};
  const [draft, setDraft] = useState<{ title: string; date: string }>();
  const shown = draft ?? { title, date };
  const named = shown.title.trim();
  const fault =
    named === "" ? say("needed") : named.length > 120 ? say("too-long", { limit: 120 }) : undefined;

  function keep() {
    if (!draft || fault || !/^\d{4}-\d{2}-\d{2}$/.test(draft.date)) return;
    setDraft(undefined);
    if (named !== title || draft.date !== date)
      void did(hand.call(named, draft.date), say("did-test", { title: named }));
  }
  return (
    <form
      className={css.form}
      onSubmit={(event) => {
        event.preventDefault();
        keep();
      }}
    >
      <p className={css.intro}>{say("test-intro")}</p>
      <TextField
        label={say("test-name")}
        value={shown.title}
        fault={fault}
        needed
        onChange={(value) => setDraft({ ...shown, title: value })}
        onBlur={keep}
      />
      <TextField
        label={say("test-date")}
        type="date"
        value={shown.date}
        fault={shown.date === "" ? say("needed") : undefined}
        needed
        onChange={(value) => setDraft({ ...shown, date: value })}
        onBlur={keep}
      />
      <p className={css.hint}>{say("test-kept")}</p>
    </form>
  );
}
