import type { Step } from "../../../core/planning/script.ts";
import { boardWords } from "../../../words/board-words.ts";
import { listed } from "../../../words/listed.ts";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { stepTally, tallyOf } from "./board-coverage.ts";
import { callName, callWords } from "./call-name.ts";

/** Marks in, by set: a box a set, filled from below as marks arrive; the set being called wears the seal. */
export function BoardStrip({ steps, now }: { steps: readonly Step[]; now: number }) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const tallies = steps.map((step) => stepTally(notebook, step));
  const behind = steps.findIndex(
    (step, at) => at < now && (tallies[at]?.blank.length ?? 0) > 0 && step.asked,
  );
  const name = (step: Step) => callWords(callName(book.rubrics, step, say));
  return (
    <section className="board-strip" aria-labelledby="board-strip">
      <h2 id="board-strip">{say("strip")}</h2>
      <ol>
        {steps.map((step, at) => {
          const { asked, filled } = tallies[at] ?? { asked: 0, filled: 0 };
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

  /** The earliest set with marks missing, and whose. */
  function behindWords(): string {
    const step = steps[behind];
    if (!step) return say("strip-complete");
    const names = new Set<string>();
    for (const candidate of step.candidates)
      for (const judge of book.judgesOf(candidate, step.section))
        if (tallyOf(notebook, judge, candidate, step.section, step).blank.length > 0)
          names.add(personName(notebook, judge) ?? say("somebody"));
    return say("strip-behind", {
      call: name(step),
      count: tallies[behind]?.blank.length ?? 0,
      names: listed([...names]),
    });
  }
}
