import { useState } from "react";
import type { PersonId } from "../../../core/identity.ts";
import type { EntryBody } from "../../../core/scorebook/entry.ts";
import type { Flag } from "../../../core/verdict/outcome.ts";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { TextAreaField } from "../../parts/text-area-field.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { useSideRecords } from "../../session/services.tsx";
import { nameOf, type Told } from "./question-in-words.ts";

type Decision = EntryBody<"review-settled">["decision"];
interface Way {
  key: string;
  decision: Decision;
  judge?: PersonId;
  words: string;
}

interface CandidateSettleProps {
  told: Told;
  flag: Flag;
  title: string;
  onClose: () => void;
}

/** Settles one question: what counts from now on, and why. The reason is kept in a side record, never in the entry. */
export function CandidateSettle({ told, flag, title, onClose }: CandidateSettleProps) {
  const { say, notebook, candidate } = told;
  useReturnOfFocus();
  const makeSide = useSideRecords();
  const ways = waysOf(told, flag);
  const [chosen, setChosen] = useState<string | undefined>(
    ways.length === 1 ? ways[0]?.key : undefined,
  );
  const [reason, setReason] = useState("");
  const [hasTried, setTried] = useState(false);
  const way = ways.find(({ key }) => key === chosen);
  const text = reason.trim();

  async function settle() {
    setTried(true);
    if (!way || !text) return;
    const { ref, record } = makeSide(candidate, "text", { text });
    await notebook.write(
      "review-settled",
      {
        question: flag.key,
        candidate,
        decision: way.decision,
        ...(way.judge ? { judge: way.judge } : {}),
        reason: ref,
      },
      { sides: [record] },
    );
    onClose();
  }

  return (
    <Dialog
      open
      title={say("settle-title")}
      closeWord={say("cancel")}
      onClose={onClose}
      keys={
        <Key kind="seal" onClick={() => void settle()}>
          {say("settle-confirm")}
        </Key>
      }
    >
      <p>{title}</p>
      <fieldset className="candidate-choice">
        <legend>{say("settle-how")}</legend>
        {ways.map(({ key, words }) => (
          <label key={key} className="candidate-way">
            <input
              type="radio"
              name="way"
              checked={key === chosen}
              onChange={() => setChosen(key)}
            />
            <span>{words}</span>
          </label>
        ))}
        {hasTried && !way && (
          <span className="field-fault" role="alert">
            {say("settle-choose")}
          </span>
        )}
      </fieldset>
      <TextAreaField
        label={say("reason")}
        hint={say("reason-hint")}
        fault={hasTried && !text ? say("reason-missing") : undefined}
        needed
        rows={2}
        maxLength={2000}
        value={reason}
        onChange={setReason}
      />
    </Dialog>
  );
}

/** Questions where leaving out one judge's marks is an answer. */
const strikable: readonly Flag["kind"][] = [
  "level-gap",
  "lone-dissent",
  "relation",
  "conflict",
  "overall-split",
];

function waysOf(told: Told, flag: Flag): Way[] {
  const { say } = told;
  if (flag.kind === "late")
    return (["late-counts", "late-refused"] as const).map((decision) => ({
      key: decision,
      decision,
      words: say(`settle-${decision}`),
    }));
  const stands: Way = { key: "stands", decision: "stands", words: say("settle-stands") };
  if (!strikable.includes(flag.kind)) return [stands];
  return [
    stands,
    ...(flag.judges ?? []).map(
      (judge): Way => ({
        key: `struck/${judge}`,
        decision: "struck",
        judge,
        words: say("settle-struck", { name: nameOf(told, judge) }),
      }),
    ),
  ];
}
