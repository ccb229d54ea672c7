import { useState } from "react";
import type { CandidateId } from "../../../core/identity.ts";
import { callerWords } from "../../../words/caller-words.ts";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";

interface SwapDialogProps {
  lanes: readonly CandidateId[];
  who: (candidate: CandidateId) => string;
  onSwap: (pair: [CandidateId, CandidateId]) => void;
  onClose: () => void;
}

/** Two children stand in each other's place: choose both, and their lanes change on every tablet. */
export function SwapDialog({ lanes, who, onSwap, onClose }: SwapDialogProps) {
  const say = useSay(callerWords);
  const [chosen, setChosen] = useState<CandidateId[]>([]);
  const [a, b] = chosen;
  return (
    <Dialog open title={say("swap-title")} onClose={onClose}>
      <p>{say("swap-hint")}</p>
      <div className="swap-keys">
        {lanes.map((candidate) => (
          <Key
            key={candidate}
            pressed={chosen.includes(candidate)}
            onClick={() =>
              setChosen(
                chosen.includes(candidate)
                  ? chosen.filter((one) => one !== candidate)
                  : [...chosen.slice(-1), candidate],
              )
            }
          >
            {who(candidate)}
          </Key>
        ))}
      </div>
      {a && b && (
        <Key
          kind="ink"
          onClick={() => {
            onSwap([a, b]);
            onClose();
          }}
        >
          {say("swap-do", { a: who(a), b: who(b) })}
        </Key>
      )}
    </Dialog>
  );
}
