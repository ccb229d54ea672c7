import { useState } from "react";
import { Link } from "react-router";
import type { Review } from "../../../core/verdict/review-queue.ts";
import { boardWords } from "../../../words/board-words.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import { isOpen, type Outcomes } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import { questionInWords } from "./question-in-words.ts";
import { useTelling } from "./use-told.ts";

/** Open questions of the whole test: those that could change a verdict, weightiest first; the rest is folded away. */
export function BoardQuestions({ outcomes }: { outcomes: Outcomes }) {
  const say = useSay(boardWords);
  const { queue } = outcomes;
  const isKnown = ({ candidate }: Review) => {
    const outcome = outcomes.of(candidate);
    return outcome !== undefined && isOpen(outcome);
  };
  const weighty = queue.filter(({ flag }) => flag.effect === "could-change");
  const others = queue.filter(({ flag }) => flag.effect !== "could-change");
  // What a question could do is known when every section of its candidate is open.
  const idle = others.filter(isKnown);
  const waiting = others.filter((one) => !isKnown(one));
  const isAnythingOpen = outcomes.all.some(({ sections }) =>
    sections.some(({ isRevealed }) => isRevealed),
  );
  return (
    <section className="board-questions" aria-labelledby="board-questions">
      <h2 id="board-questions">{say("questions")}</h2>
      <p className="board-quiet">
        {weighty.length > 0
          ? say("questions-count", { weighty: weighty.length })
          : say(
              queue.length > 0
                ? "questions-none-weighty"
                : isAnythingOpen
                  ? "questions-none"
                  : "questions-none-closed",
            )}
      </p>
      <Cards reviews={weighty} outcomes={outcomes} />
      <Folded
        title={say("questions-waiting", { count: waiting.length })}
        reviews={waiting}
        outcomes={outcomes}
      />
      <Folded
        title={say("questions-idle", { count: idle.length })}
        reviews={idle}
        outcomes={outcomes}
      />
    </section>
  );
}

/** Questions nobody needs to look at now. Their cards are made when they are unfolded. */
function Folded({
  title,
  reviews,
  outcomes,
}: {
  title: string;
  reviews: readonly Review[];
  outcomes: Outcomes;
}) {
  const [isUnfolded, setUnfolded] = useState(false);
  if (reviews.length === 0) return null;
  return (
    <details
      className="questions-folded"
      onToggle={(event) => setUnfolded(event.currentTarget.open)}
    >
      <summary>{title}</summary>
      {isUnfolded && <Cards reviews={reviews} outcomes={outcomes} />}
    </details>
  );
}

/** Each leads to its candidate. */
function Cards({ reviews, outcomes }: { reviews: readonly Review[]; outcomes: Outcomes }) {
  const notebook = useNotebook();
  const tell = useTelling();
  if (reviews.length === 0) return null;
  return (
    <ol>
      {reviews.map(({ candidate, flag }) => {
        const told = tell(candidate);
        const outcome = outcomes.of(candidate);
        if (!told || !outcome) return null;
        const { title, effect } = questionInWords(told, flag, outcome);
        return (
          <li key={`${candidate}/${flag.key}`}>
            <Link
              className="question-card"
              data-weight={flag.flips ? "flips" : flag.effect}
              to={`candidates/${candidate}?question=${encodeURIComponent(flag.key)}`}
            >
              <b>
                {notebook.book.entrant(candidate)?.number} {givenName(notebook, candidate)}
              </b>
              <span>{title}</span>
              {flag.effect === "could-change" && <small>{effect}</small>}
            </Link>
          </li>
        );
      })}
    </ol>
  );
}
