import type { Step } from "../../../belt-test/script/script.ts";
import callerWords from "../../../words/en/caller.json" with { type: "json" };
import { Seal } from "../../parts/seal.tsx";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";
import css from "./caller-screen.module.css";
import { judgeStates } from "./judge-states.ts";

interface JudgesRowProps {
  notebook: Notebook;
  wave: number;
  step: Step;
  next: string | undefined;
}

/** Who has confirmed, so that the caller need not look up to the table before going on. */
export function JudgesRow({ notebook, wave, step, next }: JudgesRowProps) {
  const say = useSay(callerWords);
  const blank = step.asked ? "judge-blank" : "judge-later";
  const states = judgeStates(notebook, wave, step).filter(({ asked }) => asked > 0);
  return (
    <div className={css.judgesRow}>
      <ul aria-label={say("judges")}>
        {notebook.link !== "live"
          ? states.length > 0 && <li>{say("coverage-hidden")}</li>
          : states.map(({ judge, isDone, isAway }) => (
              <li key={judge} data-done={isDone || undefined}>
                {isDone ? <Seal /> : <span className={css.judgeOpen} aria-hidden="true" />}
                <b>{personName(notebook, judge) ?? judge}</b>
                <span>{isAway ? say("judge-away") : isDone ? say("judge-done") : say(blank)}</span>
              </li>
            ))}
      </ul>
      {next && (
        <p className={css.judgesNext}>
          {say("next").toLocaleLowerCase(say.locale)}: <b>{next}</b>
        </p>
      )}
    </div>
  );
}
