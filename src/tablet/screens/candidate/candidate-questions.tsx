import type { EntryBody } from "../../../belt-test/scorebook/entry.ts";
import { FreeText } from "../../../belt-test/scorebook/side-bodies.ts";
import { isOpen } from "../../../belt-test/verdict/is-open.ts";
import type { Outcome, Question } from "../../../belt-test/verdict/outcome.ts";
import { halfPoints } from "../../../words/half-points.ts";
import { nameOf, questionInWords, questionSubject } from "../../in-words/question-in-words.ts";
import type { useTelling } from "../../in-words/use-told.ts";
import { Key } from "../../parts/key.tsx";
import { mayAskAgain } from "../../session/may-ask-again.ts";
import css from "./candidate.module.css";

type Telling = NonNullable<ReturnType<ReturnType<typeof useTelling>>>;

interface CandidateQuestionsProps {
  told: Telling;
  outcome: Outcome;
  /** The question that led here. */
  now: string | null;
  onSettle: (question: Question, title: string) => void;
  onAsk: (question: Question) => void;
}

/** Questions in words with what answering them could do: first those that could change the result. */
export function CandidateQuestions(props: CandidateQuestionsProps) {
  const { told, outcome } = props;
  const { say } = told;
  const open = outcome.questions.filter(({ isSettled }) => !isSettled);
  // What a question could do is known when there is a result; before that they are only asked.
  const isKnown = isOpen(outcome);
  const weighty = open.filter(({ effect }) => effect === "could-change");
  const others = open.filter(({ effect }) => effect !== "could-change");
  // From the book: striking a mark often takes its question away with it, and the record stays.
  const settled = told.notebook.book.decisions.settlements(told.candidate);
  return (
    <>
      {isKnown && (
        <section className="stack-keys" aria-labelledby="could-change">
          <h3 id="could-change">{say("questions")}</h3>
          {weighty.length === 0 && <p className="quiet">{say("questions-none")}</p>}
          {weighty.map((question) => (
            <QuestionCard key={question.key} {...props} question={question} />
          ))}
        </section>
      )}
      {others.length > 0 && (
        <section className="stack-keys" aria-labelledby="other-questions">
          <h3 id="other-questions">{say(isKnown ? "questions-other" : "questions-so-far")}</h3>
          {others.map((question) => (
            <QuestionCard key={question.key} {...props} question={question} />
          ))}
        </section>
      )}
      {settled.length > 0 && (
        <section className="stack-keys" aria-labelledby="settled-questions">
          <h3 id="settled-questions">{say("questions-settled")}</h3>
          {settled.map(({ id, body }) => (
            <Settled key={id} told={told} outcome={outcome} body={body} />
          ))}
        </section>
      )}
    </>
  );
}

function QuestionCard({
  told,
  outcome,
  now,
  question,
  onSettle,
  onAsk,
}: CandidateQuestionsProps & { question: Question }) {
  const { say } = told;
  const { isClosed } = told.notebook.book.plan;
  const { title, text, effect } = questionInWords(told, question, outcome);
  return (
    <article
      className={css.question}
      data-weight={question.effect}
      data-now={question.key === now || undefined}
    >
      <p className={css.questionTitle}>{title}</p>
      {text && <p>{text}</p>}
      {isOpen(outcome) && (
        <p className={css.questionEffect}>
          {effect}
          {question.swing >= 0.05 &&
            ` · ${say("effect-swing", { by: movedBy(question), points: say("points", halfPoints(question.swing)) })}`}
        </p>
      )}
      {!isClosed && (
        <div className={css.questionKeys}>
          {question.kind === "level-gap" && mayAskAgain(told.notebook) && (
            <Key kind="quiet" onClick={() => onAsk(question)}>
              {say("ask")}
            </Key>
          )}
          <Key onClick={() => onSettle(question, title)}>{say("settle")}</Key>
        </div>
      )}
    </article>
  );
}

/** How settling this question could move the total: see the alternatives that core tries for each. */
function movedBy({ kind }: Question): "between" | "without" | "other" {
  if (kind === "level-gap" || kind === "overall-split" || kind === "list-split") return "between";
  return kind === "lone-dissent" || kind === "relation" ? "without" : "other";
}

function Settled({
  told,
  outcome,
  body,
}: {
  told: Telling;
  outcome: Outcome;
  body: EntryBody<"review-settled">;
}) {
  const { say, notebook } = told;
  const question = outcome.questions.find(({ key }) => key === body.question);
  const title = question
    ? questionInWords(told, question, outcome).title
    : questionSubject(told, body.question);
  const reason = FreeText.safeParse(notebook.sides.get(body.reason.id)?.body);
  return (
    <article className={css.question} data-settled="">
      <p className={css.questionTitle}>{title}</p>
      <p>
        <b>
          {say(`settled-${body.decision}`, { name: body.judge ? nameOf(told, body.judge) : "" })}
        </b>{" "}
        {reason.success && <q>{reason.data.text}</q>}
      </p>
    </article>
  );
}
