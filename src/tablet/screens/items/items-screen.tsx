// The chief examiner as teacher, at home in the week after; a minute to plan the next lessons.
import { Link } from "react-router";
import { itemReport } from "../../../belt-test/items/item-report.ts";
import itemsWords from "../../../words/en/items.json" with { type: "json" };
import { EmptyState } from "../../parts/empty-state.tsx";
import { keyLook } from "../../parts/key.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { useOutcomes } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import { WayAround } from "../../session/way-around.tsx";
import css from "./items.module.css";
import { ItemsOfRubric } from "./items-of-rubric.tsx";

export function ItemsScreen() {
  const { book, pass } = useNotebook();
  const { all } = useOutcomes();
  const say = useSay(itemsWords);
  const reports = itemReport(
    all.flatMap((outcome) => {
      const rubric = book.plan.rubricOf(outcome.candidate);
      if (!rubric || outcome.panelMarks.length === 0) return [];
      // Where a section is closed it has no score here, and its judgements count for nothing.
      const overalls = book.marks.overalls(outcome.candidate);
      return [{ candidate: outcome.candidate, rubric, outcome, overalls }];
    }),
  );
  const back = (
    <Link {...keyLook} to={pageAddress(pass.grading, "panel")}>
      {say("to-panel")}
    </Link>
  );
  return (
    <>
      <PageBand title={say("title")} about={say("about")} keys={<WayAround />} />
      {reports.length === 0 ? (
        <main>
          <EmptyState title={say("empty")} keys={back}>
            {say("empty-text")}
          </EmptyState>
        </main>
      ) : (
        <main className={css.page}>
          <p>{back}</p>
          {reports.map((report) => {
            const rubric = book.plan.rubric(report.rubric);
            return rubric && <ItemsOfRubric key={rubric.id} rubric={rubric} report={report} />;
          })}
        </main>
      )}
    </>
  );
}
