import type { Step } from "../../../belt-test/script/script.ts";
import { boardWords } from "../../../words/board-words.ts";
import { listed } from "../../../words/listed.ts";
import { useSay } from "../../parts/use-say.ts";
import { stepJudges } from "../../session/board-coverage.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { callName, callWords } from "./call-name.ts";

/** Sets, and how many judges are done with each: a box a set, filled from below; the set being called wears the seal. */
export function BoardStrip({
  wave,
  steps,
  now,
}: {
  wave: number;
  steps: readonly Step[];
  now: number;
}) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const judges = steps.map((step) => stepJudges(notebook, wave, step));
  const behind = judges.findIndex((one, at) => at < now && one.behind.length > 0);
  const name = (step: Step) => callWords(callName(book.rubrics, step, say));
  return (
    <section className="board-strip" aria-labelledby="board-strip">
      <h2 id="board-strip">{say("strip")}</h2>
      <ol>
        {steps.map((step, at) => {
          const asked = judges[at]?.all.length ?? 0;
          const filled = asked - (judges[at]?.behind.length ?? 0);
          const words = step.asked
            ? say("strip-step", { set: at + 1, call: name(step), filled, asked })
            : say("strip-first-side", { set: at + 1, call: name(step) });
          return (
            <li
              key={`${step.section}/${step.item}/${step.side}/${step.candidates.join("+")}`}
              data-now={at === now || undefined}
              data-first-side={step.asked ? undefined : ""}
              data-starts={steps[at - 1]?.section === step.section ? undefined : ""}
              title={words}
            >
              <span style={{ height: `${asked > 0 ? (100 * filled) / asked : 0}%` }} />
              <span className="unseen">{words}</span>
            </li>
          );
        })}
      </ol>
      <p className="board-quiet">{now < 0 ? "" : behindWords()}</p>
    </section>
  );

  /** The earliest set that somebody is not done with, and who. */
  function behindWords(): string {
    const step = steps[behind];
    if (!step) return say("strip-complete");
    return say("strip-behind", {
      call: name(step),
      names: listed(
        (judges[behind]?.behind ?? []).map(
          (judge) => personName(notebook, judge) ?? say("somebody"),
        ),
      ),
    });
  }
}
