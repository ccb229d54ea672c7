import { useState } from "react";
import type { EntryBody } from "../../../belt-test/scorebook/entry.ts";
import { heldOf } from "../../../belt-test/scorebook/what-was-held.ts";
import { caseOf } from "../../../belt-test/verdict/case-of.ts";
import { ifSettled } from "../../../belt-test/verdict/if-settled.ts";
import { isOpen } from "../../../belt-test/verdict/is-open.ts";
import type { Question } from "../../../belt-test/verdict/outcome.ts";
import type { PersonId } from "../../../book/identity.ts";
import {
  placeInWords,
  sectionTitle,
  shortName,
  type Told,
} from "../../in-words/question-in-words.ts";
import { resultInWords } from "../../in-words/result-in-words.ts";
import { shownPercent } from "../../in-words/shown-percent.ts";
import { AskFirst } from "../../parts/ask-first.tsx";
import { FieldFault } from "../../parts/field-fault.tsx";
import { ReasonField } from "../../parts/reason-field.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { useSideRecords } from "../../session/use-side-records.ts";
import css from "./candidate.module.css";

type Decision = EntryBody<"review-settled">["decision"];
interface Way {
  key: string;
  decision: Decision;
  judge?: PersonId;
  words: string;
  /** The total and the result it would come to; empty while some marks are closed. */
  would: string;
}

interface CandidateSettleProps {
  told: Told;
  question: Question;
  title: string;
  onClose: () => void;
}

/** Settles one question: what counts from now on, and why. The reason is kept in a side record, never in the entry. */
export function CandidateSettle({ told, question, title, onClose }: CandidateSettleProps) {
  const { say, notebook, candidate } = told;
  useReturnOfFocus();
  const makeSide = useSideRecords();
  const ways = waysOf(told, question);
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
        question: question.key,
        candidate,
        decision: way.decision,
        ...(way.judge ? { judge: way.judge } : {}),
        reason: ref,
        ...(question.kind === "late" ? { basis: heldOf(notebook.book, candidate) } : {}),
      },
      { sides: [record] },
    );
    onClose();
  }

  return (
    <AskFirst
      title={say("settle-title")}
      yes={say("settle-confirm")}
      no={say("cancel")}
      kind="seal"
      onYes={() => void settle()}
      onNo={onClose}
    >
      <p>{title}</p>
      {ways.length === 1 && (
        <p>
          <Said way={ways[0]} />
        </p>
      )}
      {ways.length > 1 && (
        <fieldset className={css.choice}>
          <legend>{say("settle-how")}</legend>
          {ways.map((one) => (
            <label key={one.key} className={css.way}>
              <input
                type="radio"
                name="way"
                checked={one.key === chosen}
                onChange={() => setChosen(one.key)}
              />
              <span>
                <Said way={one} />
              </span>
            </label>
          ))}
          {hasTried && !way && <FieldFault>{say("settle-choose")}</FieldFault>}
        </fieldset>
      )}
      <ReasonField isMissing={hasTried && !text} value={reason} onChange={setReason} />
    </AskFirst>
  );
}

const Said = ({ way }: { way: Way | undefined }) =>
  way && (
    <>
      {way.words} {way.would && <b>{way.would}</b>}
    </>
  );

/** Questions where leaving out one judge's marks is an answer. */
const strikable: readonly Question["kind"][] = [
  "level-gap",
  "lone-dissent",
  "relation",
  "conflict",
  "overall-split",
  "list-split",
];

function waysOf(told: Told, question: Question): Way[] {
  const { say, notebook, candidate } = told;
  const from = caseOf(notebook.book, candidate);
  const would = (decision: Decision, judge?: PersonId): string => {
    const then = ifSettled(from, { question: question.key, decision, judge });
    if (!isOpen(then)) return "";
    if (then.computed === "incomplete") return say("settle-would-none");
    return say(decision === "stands" ? "settle-is" : "settle-would", {
      score: shownPercent(then.scoreRounded ?? 0, told.rubric.pass.mark),
      result: resultInWords(told, then).headline,
    });
  };
  if (question.kind === "late")
    return (["late-counts", "late-refused"] as const).map((decision) => ({
      key: decision,
      decision,
      words: say(`settle-${decision}`),
      // What late marks would do is known when they count.
      would: "",
    }));
  const stands: Way = {
    key: "stands",
    decision: "stands",
    words: say("settle-stands"),
    would: would("stands"),
  };
  if (!strikable.includes(question.kind)) return [stands];
  return [
    stands,
    ...(question.judges ?? []).map(
      (judge): Way => ({
        key: `struck/${judge}`,
        decision: "struck",
        judge,
        words: say("settle-struck", { name: shortName(told, judge), ...reachOf(told, question) }),
        would: would("struck", judge),
      }),
    ),
  ];
}

/** How far leaving out reaches, as isStruck says it does: see question-keys.ts. */
function reachOf(told: Told, { section, item, side, criterion }: Question) {
  if (!section) return { reach: "all", place: "" };
  if (item === undefined || side === undefined || !criterion)
    return { reach: "section", place: sectionTitle(told, section) };
  return { reach: "cell", place: placeInWords(told, { section, item, side, criterion }) };
}
