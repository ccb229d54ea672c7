import callerWords from "../../../words/en/caller.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import css from "./caller-screen.module.css";
import type { Pace } from "./use-pace.ts";

const numerals = [
  "one",
  "two",
  "three",
  "four",
  "five",
  "six",
  "seven",
  "eight",
  "nine",
  "ten",
] as const;

/** The strokes of the set with the word of each count, and the beat beside them. */
export function Counts({ pace, total }: { pace: Pace; total: number }) {
  const say = useSay(callerWords);
  const counts = Array.from({ length: total }, (_, index) => index + 1);
  return (
    <section className={css.counts} aria-label={say("counts-label")}>
      <ol className={css.countsStrokes} data-many={total > 8 || undefined}>
        {counts.map((count) => {
          const numeral = numerals[count - 1];
          const state = count > pace.count ? "ahead" : count === pace.count ? "now" : "done";
          return (
            <li key={count} data-state={state} aria-current={state === "now" ? "step" : undefined}>
              <b>{count}</b>
              {numeral && <span lang="ja-Latn">{say(numeral)}</span>}
            </li>
          );
        })}
      </ol>
      <div className={css.countsBeat}>
        <p>
          {say("beat")} <b>{say("beat-seconds", { seconds: pace.beat })}</b>
        </p>
        <div>
          <Key onClick={() => pace.setBeat(pace.beat + 0.1)}>{say("slower")}</Key>
          <Key onClick={() => pace.setBeat(pace.beat - 0.1)}>{say("faster")}</Key>
        </div>
        <Key pressed={pace.isBeating} onClick={pace.toggleBeat}>
          {say(pace.isBeating ? "stop-beat" : "start-beat")}
        </Key>
      </div>
    </section>
  );
}
