import { useState } from "react";
import { Link } from "react-router";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { isOpen } from "../../../belt-test/verdict/is-open.ts";
import type { Question } from "../../../belt-test/verdict/outcome.ts";
import type { AskedQuestion } from "../../../belt-test/verdict/question-queue.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { questionInWords } from "../../in-words/question-in-words.ts";
import { useTelling } from "../../in-words/use-told.ts";
import { candidateAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import type { Outcomes } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./board-screen.module.css";

/** Open questions of the whole test: those that could change a verdict, a card a candidate, weightiest first; the rest is folded away. */
export function BoardQuestions({ outcomes }: { outcomes: Outcomes }) {
  const say = useSay(boardWords);
  const { book } = useNotebook();
  const { queue, answered } = outcomes;
  const over = answered.filter(({ question }) => question.effect === "could-change");
  const isKnown = ({ candidate }: AskedQuestion) => {
    const outcome = outcomes.of(candidate);
    return outcome !== undefined && isOpen(outcome);
  };
  const weighty = queue.filter(({ question }) => question.effect === "could-change");
  const others = queue.filter(({ question }) => question.effect !== "could-change");
  // What a question could do is known when every section of its candidate is open.
  const idle = others.filter(isKnown);
  const waiting = others.filter((one) => !isKnown(one));
  const weighed = [...new Set(weighty.map(({ candidate }) => candidate))];
  const hasDoubts = outcomes.all.some(({ candidate }) => outcomes.doubt(candidate));
  const settle = weighed.filter((candidate) => !book.decisions.verdict(candidate)).length;
  const isAnythingOpen = outcomes.all.some(({ sections }) =>
    sections.some(({ isRevealed }) => isRevealed),
  );
  return (
    <section className={css.questions} aria-labelledby="board-questions">
      <h2 id="board-questions">{say("questions")}</h2>
      <Doubts outcomes={outcomes} />
      {weighed.length > 0 && (
        <p className={css.questionsHeadline}>
          {settle === 0
            ? say("questions-again", { count: weighed.length })
            : say(book.plan.isClosed ? "questions-closed" : "questions-settle", { count: settle })}
        </p>
      )}
      {!(hasDoubts && queue.length === 0) && (
        <p className={css.quiet}>
          {weighty.length > 0
            ? say("questions-count", { weighty: weighty.length, candidates: weighed.length })
            : say(
                queue.length > 0
                  ? over.length > 0
                    ? "questions-none-weighty-else"
                    : "questions-none-weighty"
                  : answered.length > 0
                    ? "questions-none-else"
                    : isAnythingOpen
                      ? "questions-none"
                      : "questions-none-closed",
              )}
        </p>
      )}
      <Cards asked={weighty} outcomes={outcomes} />
      <Folded
        title={say("questions-over", { count: over.length })}
        asked={over}
        outcomes={outcomes}
      />
      <Folded
        title={say("questions-waiting", { count: waiting.length })}
        asked={waiting}
        outcomes={outcomes}
      />
      <Folded
        title={say("questions-idle", { count: idle.length })}
        asked={idle}
        outcomes={outcomes}
      />
    </section>
  );
}

/** Verdicts that are not to be relied on, a card each: before any question, since they say that somebody has a result. */
function Doubts({ outcomes }: { outcomes: Outcomes }) {
  const notebook = useNotebook();
  const say = useSay(boardWords);
  const doubted = outcomes.all.flatMap(({ candidate }) => {
    const doubt = outcomes.doubt(candidate);
    return doubt ? [{ candidate, doubt }] : [];
  });
  if (doubted.length === 0) return null;
  return (
    <ol>
      {doubted.map(({ candidate, doubt }) => (
        <li key={candidate}>
          <Link
            className={css.questionCard}
            data-weight="flips"
            to={candidateAddress(notebook.pass.grading, candidate)}
          >
            <span className={css.questionCardHead}>
              <b>
                {notebook.book.plan.entrant(candidate)?.number} {givenName(notebook, candidate)}
              </b>{" "}
              <strong>{say("foot-doubted")}</strong>
            </span>
            <span>{say(`doubt-${doubt}`)}</span>
          </Link>
        </li>
      ))}
    </ol>
  );
}

/** Questions nobody needs to look at now. Their cards are made when they are unfolded. */
function Folded({
  title,
  asked,
  outcomes,
}: {
  title: string;
  asked: readonly AskedQuestion[];
  outcomes: Outcomes;
}) {
  const [isUnfolded, setUnfolded] = useState(false);
  if (asked.length === 0) return null;
  return (
    <details
      className={css.questionsFolded}
      onToggle={(event) => setUnfolded(event.currentTarget.open)}
    >
      <summary>{title}</summary>
      {isUnfolded && <Cards asked={asked} outcomes={outcomes} />}
    </details>
  );
}

/** So many questions are named on a card; its candidate's page has them all. */
const NAMED = 2;

/** A card a candidate, in the order of the weightiest question of each. It leads to the candidate. */
function Cards({ asked, outcomes }: { asked: readonly AskedQuestion[]; outcomes: Outcomes }) {
  const notebook = useNotebook();
  const say = useSay(boardWords);
  const tell = useTelling();
  const cards = new Map<CandidateId, Question[]>();
  for (const { candidate, question } of asked)
    cards.set(candidate, [...(cards.get(candidate) ?? []), question]);
  if (cards.size === 0) return null;
  return (
    <ol>
      {[...cards].map(([candidate, questions]) => {
        const told = tell(candidate);
        const outcome = outcomes.of(candidate);
        const [first] = questions;
        if (!told || !outcome || !first) return null;
        return (
          <li key={candidate}>
            <Link
              className={css.questionCard}
              data-weight={first.flips ? "flips" : first.effect}
              to={`${candidateAddress(notebook.pass.grading, candidate)}?question=${encodeURIComponent(first.key)}`}
            >
              <span className={css.questionCardHead}>
                <b>
                  {notebook.book.plan.entrant(candidate)?.number} {givenName(notebook, candidate)}
                </b>{" "}
                {first.effect === "could-change" && (
                  <strong>{questionInWords(told, first, outcome).effect}</strong>
                )}
              </span>
              {questions.slice(0, NAMED).map((question) => (
                <span key={question.key}>{questionInWords(told, question, outcome).title}</span>
              ))}
              {questions.length > NAMED && (
                <small>{say("questions-more", { count: questions.length - NAMED })}</small>
              )}
            </Link>
          </li>
        );
      })}
    </ol>
  );
}
