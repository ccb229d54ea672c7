import { type FormEvent, useState } from "react";
import type { RubricId } from "../../belt-test/identity.ts";
import type { RosterCandidate } from "../../belt-test/planning/roster.ts";
import type { Rubric } from "../../belt-test/rubric/rubric.ts";
import candidateFormWords from "../../words/en/candidate-form.json" with { type: "json" };
import css from "./candidate-form.module.css";
import { Key } from "./key.tsx";
import { ReasonField } from "./reason-field.tsx";
import { SelectField } from "./select-field.tsx";
import { TextField } from "./text-field.tsx";
import { useSay } from "./use-say.ts";

interface CandidateFormProps {
  rubrics: readonly Rubric[];
  /** Who has a number already, besides the one who is corrected. */
  taken: ReadonlyMap<number, string>;
  latestYear: number;
  start: { [Key in keyof RosterCandidate]?: RosterCandidate[Key] | undefined };
  isCorrection: boolean;
  /** Puts the cursor on the name when the form appears. */
  isReady?: boolean;
  /** Whether giving this rubric needs a reason. */
  needsReason?: (rubric: RubricId) => boolean;
  /** Whether this rubric reads otherwise what is marked of the child: then it cannot be given. */
  isMisfit?: (rubric: RubricId) => boolean;
  /** @param reason  why, where it was asked for */
  onKeep: (candidate: RosterCandidate, reason?: string) => void;
  onCancel?: () => void;
}

/** One candidate, written by hand. */
export function CandidateForm(props: CandidateFormProps) {
  const {
    rubrics,
    taken,
    latestYear,
    start,
    isCorrection,
    isReady,
    needsReason,
    isMisfit,
    onKeep,
    onCancel,
  } = props;
  const say = useSay(candidateFormWords);
  const [draft, setDraft] = useState({
    number: String(start.number ?? ""),
    given: start.given ?? "",
    family: start.family ?? "",
    rubric: start.rubric ?? ("" as RubricId | ""),
    year: String(start.birthYear ?? ""),
    sounds: start.sounds ?? "",
  });
  const [isTried, setTried] = useState(false);
  const [reason, setReason] = useState("");
  const asksReason = draft.rubric !== "" && (needsReason?.(draft.rubric) ?? false);
  const isReasonMissing = asksReason && reason.trim() === "";
  const put = (part: Partial<typeof draft>) => setDraft({ ...draft, ...part });
  const number = /^\d{1,4}$/.test(draft.number.trim()) ? Number(draft.number) : 0;
  const owner = taken.get(number);
  const year = draft.year.trim();
  const tooLong = (text: string) =>
    text.trim().length > 80 ? say("too-long", { limit: 80 }) : undefined;
  const wrong = {
    number:
      number === 0
        ? say("number-wrong")
        : owner === undefined
          ? undefined
          : say("number-taken", { number, given: owner }),
    given: draft.given.trim() === "" ? say("needed") : tooLong(draft.given),
    family: tooLong(draft.family),
    rubric:
      draft.rubric === ""
        ? say("needed")
        : isMisfit?.(draft.rubric)
          ? say("rubric-other-scale")
          : undefined,
    year:
      year === "" || (/^\d{4}$/.test(year) && Number(year) >= 1900 && Number(year) <= latestYear)
        ? undefined
        : say("year-wrong"),
    sounds: tooLong(draft.sounds),
  };
  const shown: Partial<typeof wrong> = isTried ? wrong : {};

  function submit(event: FormEvent) {
    event.preventDefault();
    setTried(true);
    if (draft.rubric === "" || isReasonMissing || Object.values(wrong).some(Boolean)) return;
    const row: RosterCandidate = {
      number,
      given: draft.given.trim(),
      rubric: draft.rubric,
      ...(draft.family.trim() === "" ? {} : { family: draft.family.trim() }),
      ...(year === "" ? {} : { birthYear: Number(year) }),
      ...(draft.sounds.trim() === "" ? {} : { sounds: draft.sounds.trim() }),
    };
    if (asksReason) onKeep(row, reason.trim());
    else onKeep(row);
  }

  return (
    <form className={css.root} noValidate onSubmit={submit}>
      <TextField
        label={say("number")}
        value={draft.number}
        inputMode="numeric"
        fault={shown.number}
        needed
        onChange={(value) => put({ number: value })}
      />
      <TextField
        label={say("given")}
        value={draft.given}
        fault={shown.given}
        needed
        autoFocus={isCorrection || isReady}
        onChange={(given) => put({ given })}
      />
      <TextField
        label={say("family")}
        value={draft.family}
        fault={shown.family}
        onChange={(family) => put({ family })}
      />
      <SelectField
        label={say("rubric")}
        value={draft.rubric}
        fault={draft.rubric === "" ? shown.rubric : wrong.rubric}
        needed
        none={say("choose")}
        options={rubrics.map(({ id, title }) => ({ value: id, label: title }))}
        onChange={(rubric) => put({ rubric })}
      />
      {asksReason && (
        <ReasonField
          label={say("rubric-reason")}
          isMissing={isTried && isReasonMissing}
          value={reason}
          onChange={setReason}
        />
      )}
      <TextField
        label={say("birth-year")}
        hint={say("birth-year-hint")}
        value={draft.year}
        inputMode="numeric"
        fault={shown.year}
        onChange={(value) => put({ year: value })}
      />
      <TextField
        label={say("sounds")}
        hint={say("sounds-hint")}
        value={draft.sounds}
        fault={shown.sounds}
        onChange={(sounds) => put({ sounds })}
      />
      <div className={css.keys}>
        {onCancel && (
          <Key kind="quiet" onClick={onCancel}>
            {say("cancel")}
          </Key>
        )}
        <Key kind="firm" type="submit">
          {say(isCorrection ? "correct" : "add")}
        </Key>
      </div>
    </form>
  );
}
