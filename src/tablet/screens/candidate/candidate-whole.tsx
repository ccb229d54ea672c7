import type { CSSProperties } from "react";
import { caseOf } from "../../../belt-test/verdict/case-of.ts";
import { judgeTotals } from "../../../belt-test/verdict/judge-totals.ts";
import type { Outcome } from "../../../belt-test/verdict/outcome.ts";
import wholeWords from "../../../words/en/whole.json" with { type: "json" };
import { halfPoints } from "../../../words/half-points.ts";
import { shortName, type Told } from "../../in-words/question-in-words.ts";
import { useSay } from "../../parts/use-say.ts";
import candidateCss from "./candidate.module.css";
import css from "./candidate-whole.module.css";

/** The stretch of the scale that is shown, in percent: everything that hangs there and room beside it, 40 points at least, so that dots do not hide each other. */
function stretch(values: readonly number[]): { from: number; size: number } {
  const [low, high] = [Math.min(...values) - 5, Math.max(...values) + 5];
  const size = Math.min(100, Math.max(40, high - low));
  const middle = (low + high) / 2;
  return { from: Math.min(100 - size, Math.max(0, middle - size / 2)), size };
}

/** The whole test in one picture: a dot a judge, the panel's total, and what it would be had all judges been equally strict. */
export function CandidateWhole({ told, outcome }: { told: Told; outcome: Outcome }) {
  const say = useSay(wholeWords);
  const { rubric, notebook, candidate } = told;
  const { score, adjusted, adjustedReason } = outcome;
  if (score === null) return null;
  const totals = judgeTotals(caseOf(notebook.book, candidate));
  const { mark } = rubric.pass;
  const { from, size } = stretch([
    mark,
    score.percent,
    ...(adjusted ? [adjusted.score] : []),
    ...totals.flatMap(({ percent }) => percent ?? []),
  ]);
  // Room for a dot at both ends.
  const at = (percent: number): string => `${4 + (92 * (percent - from)) / size}%`;
  const line = { "--meets": at(mark) } as CSSProperties;
  return (
    <section className={css.root} aria-labelledby="whole" style={line}>
      <h3 id="whole">{say("title")}</h3>
      <p className="quiet">{say("about")}</p>
      <div className={css.scale}>
        <span />
        <span className={css.words}>
          <span style={{ left: at(mark) }}>{say("pass-mark", { mark })}</span>
        </span>
      </div>
      <ul className={candidateCss.threads}>
        {totals.map(({ judge, percent }) => (
          <li key={judge} className={candidateCss.thread}>
            <span className={candidateCss.threadName}>{shortName(told, judge)}</span>
            <span className={candidateCss.threadTrack} aria-hidden="true">
              {percent !== null && (
                <>
                  <span
                    className={candidateCss.threadLine}
                    style={{
                      left: at(Math.min(percent, mark)),
                      width: `${(92 * Math.abs(percent - mark)) / size}%`,
                    }}
                  />
                  <span className={css.bead} style={{ left: at(percent) }} />
                </>
              )}
            </span>
            <span className="unseen">
              {percent === null ? say("judge-none") : say("judge", { percent })}
            </span>
          </li>
        ))}
        <li className={candidateCss.panelStroke}>
          <span style={{ left: at(score.percent) }} />
          <span className="unseen">{say("panel-label", { percent: score.percent })}</span>
        </li>
        {adjusted && (
          <li className={candidateCss.panelStroke} data-adjusted="">
            <span style={{ left: at(adjusted.score) }} />
            <span className="unseen">{say("adjusted-label", { percent: adjusted.score })}</span>
          </li>
        )}
      </ul>
      <p className={candidateCss.marksLegend} aria-hidden="true">
        <span className={candidateCss.legendStroke} /> {say("panel")}
        {adjusted && (
          <>
            <span className={candidateCss.legendAdjusted} /> {say("adjusted")}
          </>
        )}
      </p>
      <p>
        {adjusted
          ? say("text", {
              percent: adjusted.score,
              error: say("points", halfPoints(adjusted.se)),
              to: adjusted.to,
            })
          : adjustedReason && say(`none-${adjustedReason}`)}
      </p>
    </section>
  );
}
