import type { PanelReport } from "../../../belt-test/verdict/panel-report.ts";
import panelWords from "../../../words/en/panel.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./panel.module.css";
import { usePanelNames } from "./panel-names.ts";

/** Who saw whom: a row a judge, a bead a candidate; and whether everybody can be compared. */
export function PanelSight({ report: { judges, seen, groups } }: { report: PanelReport }) {
  const say = useSay(panelWords);
  const names = usePanelNames();
  const { book } = useNotebook();
  const number = (candidate: (typeof seen)[number]["candidate"]) =>
    book.plan.entrant(candidate)?.number ?? "";
  return (
    <section className={css.sight} aria-labelledby="panel-sight">
      <h2 id="panel-sight">{say("sight")}</h2>
      <p>
        {groups.length < 2
          ? say("sight-one")
          : say("sight-groups", {
              groups: groups.map((group) => listed(group.map(names.judge), say.locale)).join(" / "),
            })}
      </p>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a table wider than the page is scrolled with the arrow keys. */}
      <section className={css.sightScroll} tabIndex={0} aria-label={say("sight-table")}>
        <table>
          <thead>
            <tr>
              <td />
              {seen.map(({ candidate }) => (
                <th key={candidate} scope="col">
                  {number(candidate)}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {judges.map(({ judge }) => (
              <tr key={judge}>
                <th scope="row">{names.judge(judge)}</th>
                {seen.map(({ candidate, judges: its }) => (
                  <td key={candidate}>
                    {its.includes(judge) && (
                      <span className={css.sightBead}>
                        <span className="unseen">
                          {say("sight-cell", {
                            judge: names.judge(judge),
                            number: number(candidate),
                          })}
                        </span>
                      </span>
                    )}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </section>
    </section>
  );
}
