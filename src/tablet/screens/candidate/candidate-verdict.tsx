import { useState } from "react";
import type { SectionId } from "../../../belt-test/identity.ts";
import type { VerdictResult } from "../../../belt-test/kinds/decision.ts";
import { askedAgain } from "../../../belt-test/scorebook/asked-again.ts";
import { heldOf } from "../../../belt-test/scorebook/what-was-held.ts";
import type { Outcome } from "../../../belt-test/verdict/outcome.ts";
import { hindrances } from "../../../belt-test/verdict/question-queue.ts";
import { offeredRepeat } from "../../../belt-test/verdict/retest-set.ts";
import { knownAtVerdict } from "../../../belt-test/verdict/verdict-doubt.ts";
import questionsWords from "../../../words/en/questions.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { nameOf, type Told } from "../../in-words/question-in-words.ts";
import { resultInWords } from "../../in-words/result-in-words.ts";
import { AskFirst } from "../../parts/ask-first.tsx";
import { CheckField } from "../../parts/check-field.tsx";
import { FieldFault } from "../../parts/field-fault.tsx";
import { ReasonField } from "../../parts/reason-field.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import { useSideRecords } from "../../session/use-side-records.ts";
import css from "./candidate.module.css";

interface CandidateVerdictProps {
  told: Told;
  outcome: Outcome;
  result: VerdictResult;
  onClose: () => void;
}

/** Seals one verdict. Another result than the computed one, an open question or an earlier verdict asks for a reason. */
export function CandidateVerdict({ told, outcome, result, onClose }: CandidateVerdictProps) {
  const { say, notebook, candidate, rubric } = told;
  useReturnOfFocus();
  const { book } = notebook;
  const sayQuestion = useSay(questionsWords);
  const makeSide = useSideRecords();
  const [sections, setSections] = useState<readonly SectionId[]>(
    result === "retest" ? offeredRepeat(outcome) : [],
  );
  const [reason, setReason] = useState("");
  const [hasTried, setTried] = useState(false);

  const isOther =
    result !== outcome.computed ||
    (result === "retest" && !isSame(sections, outcome.retestSections));
  const asked = askedAgain(book, candidate);
  const hinders = hindrances(outcome);
  const isAgain = book.decisions.verdict(candidate) !== undefined;
  const needsReason = isOther || hinders.length > 0 || isAgain || book.plan.isClosed;
  const text = reason.trim();
  const needsSections = result === "retest" && sections.length === 0;
  const given = givenName(notebook, candidate);

  async function issue() {
    setTried(true);
    if (needsSections || (needsReason && !text)) return;
    // The first one corrects no other; its reason is its own, and filed under the child.
    const corrected = book.plan.closing && book.decisions.verdict(candidate);
    const side = text ? makeSide(candidate, "text", { text }) : undefined;
    await notebook.write(
      "verdict",
      {
        candidate,
        result,
        // In the rubric's order, whatever the order of the taps.
        retestSections: rubric.sections.flatMap(({ id }) => (sections.includes(id) ? [id] : [])),
        computed: outcome.computed,
        ...(side ? { reason: side.ref } : {}),
        basis: heldOf(book, candidate),
        ...knownAtVerdict(book, candidate),
      },
      side ? { sides: [side.record] } : {},
    );
    if (corrected && side)
      await notebook.write("correction", { of: corrected.id, reason: side.ref });
    onClose();
  }

  return (
    <AskFirst
      title={say(`verdict-title-${result}`, {
        number: book.plan.entrant(candidate)?.number ?? "",
        given,
      })}
      yes={say(`verdict-confirm-${result}`)}
      no={say("cancel")}
      kind="seal"
      onYes={() => void issue()}
      onNo={onClose}
    >
      {asked.length > 0 && (
        <p>
          {say("verdict-asked", {
            count: asked.length,
            names: listed(
              asked.map((judge) => nameOf(told, judge)),
              say.locale,
            ),
          })}
        </p>
      )}
      {!needsReason && asked.length === 0 && <p>{say("verdict-clear")}</p>}
      {needsReason && (
        <div className={css.verdictWhys}>
          {isOther && outcome.computed !== "incomplete" && (
            <p>{say("verdict-override", { result: resultInWords(told, outcome).headline })}</p>
          )}
          {hinders.map((hindrance) => (
            <p key={hindrance}>{sayQuestion(`hindrance.${hindrance}`)}</p>
          ))}
          {book.plan.isClosed && <p>{say("verdict-closed")}</p>}
          {isAgain && <p>{say("verdict-again")}</p>}
          {book.decisions.release(candidate) && <p>{say("verdict-released", { given })}</p>}
        </div>
      )}
      {result === "retest" && (
        <fieldset className={css.choice} data-two="">
          <legend>{say("verdict-sections")}</legend>
          {rubric.sections.map(({ id, title }) => (
            <CheckField
              key={id}
              label={title}
              checked={sections.includes(id)}
              onChange={(checked) =>
                setSections(checked ? [...sections, id] : sections.filter((one) => one !== id))
              }
            />
          ))}
          {hasTried && needsSections && <FieldFault>{say("verdict-sections-missing")}</FieldFault>}
        </fieldset>
      )}
      {needsReason && (
        <ReasonField isMissing={hasTried && !text} value={reason} onChange={setReason} />
      )}
    </AskFirst>
  );
}

const isSame = (a: readonly SectionId[], b: readonly SectionId[]): boolean =>
  a.length === b.length && a.every((id) => b.includes(id));
