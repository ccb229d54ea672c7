import { useState } from "react";
import type { Rubric } from "../../../belt-test/rubric/rubric.ts";
import type { Told } from "../../in-words/question-in-words.ts";
import { AskFirst } from "../../parts/ask-first.tsx";
import { ReasonField } from "../../parts/reason-field.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { givenName } from "../../session/names.ts";
import { useSideRecords } from "../../session/use-side-records.ts";

interface GiveRubricBackProps {
  told: Told;
  /** By which the verdict was issued. */
  rubric: Rubric;
  /** Another verdict stands beside it: which holds is said by issuing one anew. */
  isRival: boolean;
  onClose: () => void;
}

/** A child is tested again by the rubric that the verdict was issued by; the verdict and its sheet are as they were. */
export function GiveRubricBack({ told, rubric, isRival, onClose }: GiveRubricBackProps) {
  const { say, notebook, candidate } = told;
  useReturnOfFocus();
  const makeSide = useSideRecords();
  const [reason, setReason] = useState("");
  const [hasTried, setTried] = useState(false);
  const text = reason.trim();

  async function give() {
    setTried(true);
    const entrant = notebook.book.plan.entrant(candidate);
    if (!text || !entrant) return;
    const { ref, record } = makeSide(candidate, "text", { text });
    const { number } = entrant;
    await notebook.write(
      "entered",
      { candidate, number, rubric: rubric.id, reason: ref },
      { sides: [record] },
    );
    onClose();
  }

  return (
    <AskFirst
      title={say("give-back-title", { given: givenName(notebook, candidate), title: rubric.title })}
      yes={say("give-back-do")}
      no={say("cancel")}
      onYes={() => void give()}
      onNo={onClose}
    >
      <p>{say(isRival ? "give-back-rival" : "give-back-text")}</p>
      <ReasonField isMissing={hasTried && !text} value={reason} onChange={setReason} />
    </AskFirst>
  );
}
