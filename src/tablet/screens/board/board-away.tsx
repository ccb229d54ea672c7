import type { CandidateId } from "../../../belt-test/identity.ts";
import { saidAwayLate } from "../../../belt-test/scorebook/marked-so-far.ts";
import type { PersonId } from "../../../book/identity.ts";
import { clockTime } from "../../../words/dates.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { givenName, personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./board-screen.module.css";

/** Whom somebody said to be away after the call: perhaps a slip, which takes a result away. */
export function BoardAway() {
  const notebook = useNotebook();
  const { book, pass } = notebook;
  const say = useSay(boardWords);
  const away = saidAwayLate(book).filter(({ by }) => by !== pass.person);
  if (away.length === 0) return null;
  const back = (candidate: CandidateId) => notebook.write("checked-in", { candidate });
  return (
    <ul className={css.away} aria-label={say("away")}>
      {away.map(({ candidate, by, atMs }) => {
        const who = `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`;
        const name = personName(notebook, by as PersonId) ?? say("somebody");
        return (
          <li key={candidate}>
            {say(book.floor.presence(candidate) === "unfit" ? "away-unfit" : "away-absent", {
              who,
              name,
              time: clockTime(atMs, say.locale),
            })}{" "}
            {!book.plan.isClosed && (
              <Key
                kind="firm"
                aria-label={say("away-back-named", { who })}
                onClick={() => void back(candidate)}
              >
                {say("away-back")}
              </Key>
            )}
          </li>
        );
      })}
    </ul>
  );
}
