import { Link } from "react-router";
import { isAllReleased } from "../../../belt-test/scorebook/all-released.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { keyLook } from "../../parts/key.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { panelOf } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";

/** What is left once every sheet is out: the judges' own pages. Nothing before, and nothing when all are given. */
export function BoardTell() {
  const { book, pass } = useNotebook();
  const say = useSay(boardWords);
  if (!isAllReleased(book)) return null;
  const waiting = panelOf(book).judges.filter(({ judge }) => !book.standards.told(judge)).length;
  if (waiting === 0) return null;
  return (
    <Link {...keyLook} to={pageAddress(pass.grading, "panel")} data-kind="ink">
      <span>{say("tell")}</span>
      <small>{say("tell-under", { waiting })}</small>
    </Link>
  );
}
