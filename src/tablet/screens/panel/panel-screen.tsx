// The chief examiner after the marks are open, or at home after the test; one look to know what to do, five minutes to understand why.
import { Link } from "react-router";
import panelWords from "../../../words/en/panel.json" with { type: "json" };
import { EmptyState } from "../../parts/empty-state.tsx";
import { keyLook } from "../../parts/key.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { panelOf, severityOf } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import { WayAround } from "../../session/way-around.tsx";
import css from "./panel.module.css";
import { PanelAgreement } from "./panel-agreement.tsx";
import { PanelJudges } from "./panel-judges.tsx";
import { PanelNext } from "./panel-next.tsx";
import { PanelSight } from "./panel-sight.tsx";
import { PanelTell } from "./panel-tell.tsx";

export function PanelScreen() {
  const { book, pass } = useNotebook();
  const say = useSay(panelWords);
  const report = panelOf(book);
  const { outlook } = severityOf(book);
  const standard = (
    <Link {...keyLook} to={pageAddress(pass.grading, "anchors")}>
      {say("standard-key")}
    </Link>
  );
  const isEmpty = report.judges.length === 0;
  return (
    <>
      <PageBand
        title={say("title")}
        about={
          isEmpty
            ? undefined
            : say("about", {
                candidates: report.seen.length,
                marks: report.judges.reduce((sum, { marks }) => sum + marks, 0),
              })
        }
        keys={<WayAround />}
      />
      {isEmpty ? (
        <main>
          <EmptyState
            title={say("empty")}
            keys={
              <>
                <Link {...keyLook} to={pageAddress(pass.grading, "board")}>
                  {say("to-board")}
                </Link>
                {standard}
              </>
            }
          >
            {say("empty-text")}
          </EmptyState>
        </main>
      ) : (
        <main className={css.page}>
          <PanelNext report={report} />
          <PanelJudges judges={report.judges} />
          <div className={css.below}>
            <PanelAgreement agreement={report.agreement} />
            <section aria-labelledby="panel-adjust">
              <h2 id="panel-adjust">{say("adjust")}</h2>
              <p>{say(`adjust-${outlook}`)}</p>
            </section>
          </div>
          <PanelSight report={report} />
          <section className={css.tell} aria-labelledby="panel-items">
            <h2 id="panel-items">{say("items")}</h2>
            <p>{say("items-text")}</p>
            <Link {...keyLook} to={pageAddress(pass.grading, "items")}>
              {say("items-key")}
            </Link>
          </section>
          <section className={css.tell} aria-labelledby="panel-standard">
            <h2 id="panel-standard">{say("standard")}</h2>
            <p>{say("standard-text")}</p>
            {standard}
          </section>
          <PanelTell judges={report.judges} />
        </main>
      )}
    </>
  );
}
