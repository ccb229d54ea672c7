import type { ReactNode } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { waveScript } from "../../../belt-test/planning/wave-script.ts";
import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import callerWords from "../../../words/en/caller.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { StopKey } from "../../parts/stop-key.tsx";
import { useSay } from "../../parts/use-say.ts";
import css from "./caller-screen.module.css";

interface WaveChoiceProps {
  book: Scorebook;
  who: (candidate: CandidateId) => string;
  onChoose: (wave: number) => void;
  /** Ways to other parts of the test, for a caller who has any. */
  links: ReactNode;
  onBack: (() => void) | undefined;
  onStop: () => void;
}

/** Between waves: who comes on the floor now. Choosing a wave calls its first step. */
export function WaveChoice({ book, who, links, onChoose, onBack, onStop }: WaveChoiceProps) {
  const say = useSay(callerWords);
  return (
    <main className={css.waveChoice}>
      <header>
        <div>
          {links}
          <h1>{say("choose-wave")}</h1>
        </div>
        <StopKey large onStop={onStop} />
      </header>
      <ul>
        {book.plan.filledWaves.map((wave) => {
          const here = book.plan.lanes(wave).filter((candidate) => isHere(book, candidate));
          const isOver = book.floor.calls.some(({ body }) => body.wave === wave);
          return (
            <li key={wave}>
              <Key
                kind={isOver ? "quiet" : "firm"}
                disabled={waveScript(book, wave).length === 0}
                under={
                  here.length > 0
                    ? here.map(who).join(" · ")
                    : say("choose-wave-hint", { count: 0 })
                }
                onClick={() => onChoose(wave)}
              >
                {say("wave", { wave })}
              </Key>
            </li>
          );
        })}
      </ul>
      {onBack && <Key onClick={onBack}>{say("back")}</Key>}
    </main>
  );
}
