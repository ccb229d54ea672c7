import type { CandidateId } from "../../../belt-test/identity.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import { notShown } from "../../session/not-shown.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./board-screen.module.css";
import { callName, callWords } from "./call-name.ts";

/** Who came late to a wave, and what of it they were not shown: no judge is to blame for it. */
export function BoardMissed({ wave }: { wave: number }) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const missed = book.plan.isClosed ? [] : notShown(notebook, wave);
  if (missed.length === 0) return null;
  const who = (candidate: CandidateId) =>
    `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim();
  return (
    <ul className={css.away} aria-label={say("missed")}>
      {missed.map(({ candidates, steps, was }) => (
        <li key={`${candidates[0]} ${was}`}>
          {say(`missed-calls-${was}`, {
            who: listed(candidates.map(who), say.locale),
            heads: candidates.length,
            calls: listed(
              steps.map((step) => callWords(callName(book.plan.rubrics, step, say))),
              say.locale,
            ),
            count: steps.length,
          })}
        </li>
      ))}
    </ul>
  );
}
