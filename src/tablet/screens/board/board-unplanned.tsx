import { Link } from "react-router";
import type { CandidateId } from "../../../belt-test/identity.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { keyLook } from "../../parts/key.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { givenName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { usePlanGaps } from "../../session/use-plan-gaps.ts";
import css from "./board-screen.module.css";

/** Who is here and would not be called, or not be marked: entered late, or put into a wave that nobody watches for them. */
export function BoardUnplanned() {
  const notebook = useNotebook();
  const { book, pass } = notebook;
  const say = useSay(boardWords);
  const gaps = usePlanGaps();
  const isHere = (candidate: CandidateId) => book.floor.presence(candidate) === "checked-in";
  const waveless = gaps.flatMap((gap) => (gap.code === "WITHOUT_WAVE" ? gap.candidates : []));
  const unwatched = gaps.flatMap((gap) => (gap.code === "LANE_UNWATCHED" ? [gap.candidate] : []));
  const lines = [
    { say: "here-without-wave", those: waveless.filter(isHere) },
    { say: "here-unwatched", those: [...new Set(unwatched)].filter(isHere) },
  ] as const;
  if (book.plan.isClosed || lines.every(({ those }) => those.length === 0)) return null;
  return (
    <ul className={css.away} aria-label={say("here-unplanned")}>
      {lines.map(
        ({ say: key, those }) =>
          those.length > 0 && (
            <li key={key}>
              {say(key, { count: those.length, who: listed(those.map(who), say.locale) })}{" "}
              <Link {...keyLook} to={`${pageAddress(pass.grading, "set-up")}?step=waves`}>
                {say("here-plan")}
              </Link>
            </li>
          ),
      )}
    </ul>
  );

  function who(candidate: CandidateId): string {
    return `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim();
  }
}
