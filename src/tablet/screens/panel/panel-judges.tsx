import type { JudgeReport } from "../../../belt-test/verdict/judge-report.ts";
import { ownJudges } from "../../../belt-test/verdict/own-judges.ts";
import panelWords from "../../../words/en/panel.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { DriftLine } from "../../parts/drift-line.tsx";
import { SeverityDot } from "../../parts/severity-dot.tsx";
import { useSay } from "../../parts/use-say.ts";
import {
  criterionWord,
  judgeSentence,
  oddSentences,
  paceValues,
  reachOf,
} from "../../session/judge-in-words.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./panel.module.css";
import { usePanelNames } from "./panel-names.ts";

/** One sentence a judge; beside it the dot it rests on, and how it went through the day. */
export function PanelJudges({ judges }: { judges: readonly JudgeReport[] }) {
  const say = useSay(panelWords);
  const names = usePanelNames();
  const { book } = useNotebook();
  const reach = reachOf(judges);
  const hasDrift = judges.some(({ drift }) => drift.length > 1);
  const own = book.plan.entrants.flatMap(({ candidate }) => ownJudges(book, candidate));
  return (
    <section className={css.judges} aria-labelledby="panel-judges">
      <h2 id="panel-judges">{say("judges")}</h2>
      <p className="quiet">{say("judges-about")}</p>
      {own.length > 0 && (
        <p>
          {say("own", {
            judges: listed([...new Set(own)].map(names.judge), say.locale),
            count: own.length,
          })}
        </p>
      )}
      <div className={css.axis} aria-hidden="true">
        <span>{say("lower")}</span>
        <span>{say("higher")}</span>
        {hasDrift && <span>{say("drift")}</span>}
      </div>
      <ul>
        {judges.map((report) => (
          <li key={report.judge} data-standing={report.standing}>
            <div className={css.judge}>
              <b>{names.judge(report.judge)}</b>
              <p>{judgeSentence(say, report)}</p>
              {oddSentences(say, report.odd, criterionWord(book.plan.rubrics, say.locale)).map(
                (sentence) => (
                  <p key={sentence} className={css.odd}>
                    {sentence}
                  </p>
                ),
              )}
              {!("reason" in report.pace) && report.pace.isHasty && (
                <p className={css.odd}>{say("pace-quick", paceValues(report.pace))}</p>
              )}
              <p className="quiet">
                {say("judge-counts", {
                  candidates: report.candidates,
                  marks: report.marks,
                  rest: report.restShare,
                })}
              </p>
            </div>
            <SeverityDot severity={report.severity} reach={reach} />
            {hasDrift && <DriftLine points={report.drift} reach={reach} />}
          </li>
        ))}
      </ul>
    </section>
  );
}
