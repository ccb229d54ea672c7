import type { NextStep, PanelReport } from "../../../belt-test/verdict/panel-report.ts";
import panelWords from "../../../words/en/panel.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import { criterionWord } from "../../session/judge-in-words.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./panel.module.css";
import { usePanelNames } from "./panel-names.ts";

/** Three things at once are what a person takes home. */
const SHOWN = 3;

/** What to do next, in sentences that need no statistics. */
export function PanelNext({ report }: { report: PanelReport }) {
  const say = useSay(panelWords);
  const names = usePanelNames();
  const { book } = useNotebook();
  const steps = report.nextSteps.slice(0, SHOWN);
  const sentence = (step: NextStep): string =>
    say(step.kind === "odd" ? `next-${step.effect.name}` : `next-${step.kind}`, {
      name: "judge" in step ? names.judge(step.judge) : "",
      criterion:
        step.kind === "odd" && step.effect.criterion
          ? criterionWord(book.plan.rubrics, say.locale)(step.effect.criterion)
          : "",
      candidate: step.kind === "link" ? names.candidate(step.candidate) : "",
    });
  return (
    <section className={css.next} aria-labelledby="panel-next">
      <h2 id="panel-next">{say("next")}</h2>
      {steps.length === 0 ? (
        <p>
          {say(
            report.judges.every(({ standing }) => standing === "too-little")
              ? "next-too-little"
              : "next-none",
          )}
        </p>
      ) : (
        <ol>
          {steps.map((step) => (
            <li key={sentence(step)}>{sentence(step)}</li>
          ))}
        </ol>
      )}
    </section>
  );
}
