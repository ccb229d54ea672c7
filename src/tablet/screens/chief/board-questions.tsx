import { useState } from "react";
import { Link } from "react-router";
import { boardWords } from "../../../words/board-words.ts";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import { isOpen, type Outcomes } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import { questionInWords } from "./question-in-words.ts";
import { useTelling } from "./use-told.ts";

const FIRST = 4;

/** Open questions of the whole test, weightiest first; each leads to its candidate. */
export function BoardQuestions({ outcomes }: { outcomes: Outcomes }) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const tell = useTelling();
  const [all, setAll] = useState(false);
  const { queue } = outcomes;
  const shown = all ? queue : queue.slice(0, FIRST);
  const weighty = queue.filter(({ flag }) => flag.effect === "could-change").length;
  const isAnythingOpen = outcomes.all.some(({ sections }) =>
    sections.some(({ isRevealed }) => isRevealed),
  );
  return (
    <section className="board-questions" aria-labelledby="board-questions">
      <h2 id="board-questions">{say("questions")}</h2>
      {queue.length > 0 && (
        <p className="board-quiet">
          {say("questions-count", { weighty, others: queue.length - weighty })}
        </p>
      )}
      {queue.length === 0 && (
        <p className="board-quiet">
          {say(isAnythingOpen ? "questions-none" : "questions-none-closed")}
        </p>
      )}
      <ol>
        {shown.map(({ candidate, flag }) => {
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
                  {book.entrant(candidate)?.number} {givenName(notebook, candidate)}
                </b>
                <span>{title}</span>
                {isOpen(outcome) && <small>{effect}</small>}
              </Link>
            </li>
          );
        })}
      </ol>
      {queue.length > FIRST && (
        <Key kind="quiet" onClick={() => setAll(!all)}>
          {all ? say("questions-fewer") : say("questions-more", { count: queue.length - FIRST })}
        </Key>
      )}
    </section>
  );
}
