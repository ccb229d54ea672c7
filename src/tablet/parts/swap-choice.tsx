import { useState } from "react";
import type { CandidateId } from "../../belt-test/identity.ts";
import fieldWords from "../../words/en/fields.json" with { type: "json" };
import { Key } from "./key.tsx";
import css from "./swap-choice.module.css";
import { useSay } from "./use-say.ts";

interface SwapChoiceProps {
  candidates: readonly CandidateId[];
  who: (candidate: CandidateId) => string;
  onSwap: (pair: [CandidateId, CandidateId]) => void;
  /** What to know before these two are swapped; undefined for nothing. */
  warning?: (pair: [CandidateId, CandidateId]) => string | undefined;
}

/** Two children stand in each other's place: choose both, then swap. A third choice takes the place of the older one. */
export function SwapChoice({ candidates, who, onSwap, warning }: SwapChoiceProps) {
  const say = useSay(fieldWords);
  const [chosen, setChosen] = useState<CandidateId[]>([]);
  const [a, b] = chosen;
  const stays = a && b && warning?.([a, b]);
  const choose = (candidate: CandidateId) =>
    setChosen(
      chosen.includes(candidate)
        ? chosen.filter((one) => one !== candidate)
        : [...chosen.slice(-1), candidate],
    );
  return (
    <>
      <div className={css.root}>
        {candidates.map((candidate) => (
          <Key
            key={candidate}
            pressed={chosen.includes(candidate)}
            onClick={() => choose(candidate)}
          >
            {who(candidate)}
          </Key>
        ))}
      </div>
      {stays && <p role="status">{stays}</p>}
      {a && b && (
        <Key kind="ink" onClick={() => onSwap([a, b])}>
          {say("swap", { a: who(a), b: who(b) })}
        </Key>
      )}
    </>
  );
}
