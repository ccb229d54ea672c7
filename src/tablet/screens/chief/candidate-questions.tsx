import { FreeText } from "../../../core/scorebook/side-record.ts";
import type { Flag, Outcome } from "../../../core/verdict/outcome.ts";
import { Key } from "../../parts/key.tsx";
import { isOpen } from "../../session/outcomes.ts";
import { nameOf, questionInWords } from "./question-in-words.ts";
import type { useTelling } from "./use-told.ts";

type Telling = NonNullable<ReturnType<ReturnType<typeof useTelling>>>;

interface CandidateQuestionsProps {
  told: Telling;
  outcome: Outcome;
  /** The question that led here. */
  now: string | null;
  onSettle: (flag: Flag, title: string) => void;
  onAsk: (flag: Flag) => void;
}

/** Questions in words with what answering them could do: first those that could change the result. */
export function CandidateQuestions(props: CandidateQuestionsProps) {
  const { told, outcome } = props;
  const { say } = told;
  const open = outcome.flags.filter(({ isSettled }) => !isSettled);
  // What a question could do is known when there is a result; before that they are only asked.
  const isKnown = isOpen(outcome);
  const weighty = open.filter(({ effect }) => effect === "could-change");
  const others = open.filter(({ effect }) => effect !== "could-change");
  const settled = outcome.flags.filter(({ isSettled }) => isSettled);
  return (
    <>
      {isKnown && (
        <section className="candidate-questions" aria-labelledby="could-change">
          <h3 id="could-change">{say("questions")}</h3>
          {weighty.length === 0 && <p className="candidate-quiet">{say("questions-none")}</p>}
          {weighty.map((flag) => (
            <Question key={flag.key} {...props} flag={flag} />
          ))}
        </section>
      )}
      {others.length > 0 && (
        <section className="candidate-questions" aria-labelledby="other-questions">
          <h3 id="other-questions">{say(isKnown ? "questions-other" : "questions-so-far")}</h3>
          {others.map((flag) => (
            <Question key={flag.key} {...props} flag={flag} />
          ))}
        </section>
      )}
      {settled.length > 0 && (
        <section className="candidate-questions" aria-labelledby="settled-questions">
          <h3 id="settled-questions">{say("questions-settled")}</h3>
          {settled.map((flag) => (
            <Settled key={flag.key} told={told} outcome={outcome} flag={flag} />
          ))}
        </section>
      )}
    </>
  );
}

function Question({
  told,
  outcome,
  now,
  flag,
  onSettle,
  onAsk,
}: CandidateQuestionsProps & { flag: Flag }) {
  const { say } = told;
  const { title, text, effect } = questionInWords(told, flag, outcome);
  return (
    <article
      className="question"
      data-weight={flag.effect}
      data-now={flag.key === now || undefined}
    >
      <p className="question-title">{title}</p>
      {text && <p>{text}</p>}
      {isOpen(outcome) && (
        <p className="question-effect">
          {effect}
          {flag.swing >= 0.05 &&
            ` · ${say("effect-swing", { swing: Math.round(flag.swing * 10) / 10 })}`}
        </p>
      )}
      <div className="question-keys">
        {flag.kind === "level-gap" && (
          <Key kind="quiet" onClick={() => onAsk(flag)}>
            {say("ask")}
          </Key>
        )}
        <Key onClick={() => onSettle(flag, title)}>{say("settle")}</Key>
      </div>
    </article>
  );
}

function Settled({ told, outcome, flag }: { told: Telling; outcome: Outcome; flag: Flag }) {
  const { say, notebook, candidate } = told;
  const { title } = questionInWords(told, flag, outcome);
  const body = notebook.book.settled(candidate, flag.key)?.body;
  const reason = FreeText.safeParse(body && notebook.sides.get(body.reason.id)?.body);
  return (
    <article className="question" data-settled="">
      <p className="question-title">{title}</p>
      {body && (
        <p>
          <b>
            {say(`settled-${body.decision}`, {
              name: body.judge ? nameOf(told, body.judge) : "",
            })}
          </b>{" "}
          {reason.success && <q>{reason.data.text}</q>}
        </p>
      )}
    </article>
  );
}
