import { isAllReleased } from "../../../belt-test/scorebook/all-released.ts";
import type { JudgeReport } from "../../../belt-test/verdict/judge-report.ts";
import panelWords from "../../../words/en/panel.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./panel.module.css";

/** Gives each judge a page of their own, once every sheet is released. Nobody is sent another's. */
export function PanelTell({ judges }: { judges: readonly JudgeReport[] }) {
  const say = useSay(panelWords);
  const notebook = useNotebook();
  const { book } = notebook;
  const given = judges.filter(({ judge }) => book.standards.told(judge) !== undefined).length;

  async function tell() {
    for (const { drift, odd, severity, pace, ...report } of judges)
      await notebook.write("judge-told", {
        ...report,
        ...("reason" in pace ? {} : { pace: { ...pace } }),
        severity: severity && { ...severity },
        odd: odd.map((effect) => ({ ...effect })),
        drift: drift.slice(0, 99),
      });
  }
  return (
    <section className={css.tell} aria-labelledby="panel-tell">
      <h2 id="panel-tell">{say("tell")}</h2>
      <p>{say(isAllReleased(book) ? "tell-text" : "tell-waits")}</p>
      {given > 0 && <Notice kind="done">{say("tell-done", { given })}</Notice>}
      {isAllReleased(book) && (
        <Key kind={given > 0 ? "plain" : "ink"} onClick={() => void tell()}>
          {say(given > 0 ? "tell-again" : "tell-key")}
        </Key>
      )}
    </section>
  );
}
