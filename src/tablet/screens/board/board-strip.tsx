import { calledIndex, waveScript } from "../../../belt-test/planning/wave-script.ts";
import { type Step, stepKey } from "../../../belt-test/script/script.ts";
import type { PersonId } from "../../../book/identity.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { useSay } from "../../parts/use-say.ts";
import { stepJudges } from "../../session/board-coverage.ts";
import { givenName, personName } from "../../session/names.ts";
import { notShown } from "../../session/not-shown.ts";
import type { Notebook } from "../../session/notebook.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./board-screen.module.css";
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
  const name = (step: Step) => callWords(callName(book.plan.rubrics, step, say));
  return (
    <section className={css.strip} aria-labelledby="board-strip">
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
      <p className={css.quiet}>{now < 0 ? "" : behindWords()}</p>
    </section>
  );

  /** The earliest set that somebody is not done with, and who; where all are, the same of other waves. */
  function behindWords(): string {
    const step = steps[behind];
    const late = judges[behind]?.behind ?? [];
    if (step) {
      const words = { call: name(step), names: namesOf(late) };
      const who = notShown(notebook, wave)
        .filter(
          ({ steps: missed, was }) =>
            was === "away" && missed.some((one) => stepKey(one) === stepKey(step)),
        )
        .flatMap(({ candidates }) => candidates)
        .map((candidate) =>
          `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim(),
        );
      return who.length > 0
        ? say("strip-behind-missed", { ...words, who: listed(who, say.locale), heads: who.length })
        : say("strip-behind", words);
    }
    const other = inOtherWaves(notebook, wave);
    if (!other) return say("strip-complete");
    const { step: called, behind: who } = other;
    return say("strip-behind-wave", {
      wave: other.wave,
      call: name(called),
      names: namesOf(who),
    });
  }
  function namesOf(judges: readonly PersonId[]): string {
    return listed(
      judges.map((judge) => personName(notebook, judge) ?? say("somebody")),
      say.locale,
    );
  }
}

/** The first call of another wave that somebody is not done with. */
function inOtherWaves(
  notebook: Notebook,
  shown: number,
): { wave: number; step: Step; behind: readonly PersonId[] } | undefined {
  const { book } = notebook;
  for (const { wave } of book.plan.waves) {
    if (wave === shown) continue;
    const steps = waveScript(book, wave);
    for (const step of steps.slice(0, calledIndex(book, wave, steps) + 1)) {
      const { behind } = stepJudges(notebook, wave, step);
      if (behind.length > 0) return { wave, step, behind };
    }
  }
  return undefined;
}
