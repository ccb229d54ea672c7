import type { CandidateId } from "../../../belt-test/identity.ts";
import callerWords from "../../../words/en/caller.json" with { type: "json" };
import { Dialog } from "../../parts/dialog.tsx";
import { SwapChoice } from "../../parts/swap-choice.tsx";
import { useSay } from "../../parts/use-say.ts";

interface SwapDialogProps {
  lanes: readonly CandidateId[];
  who: (candidate: CandidateId) => string;
  onSwap: (pair: [CandidateId, CandidateId]) => void;
  onClose: () => void;
}

/** Their lanes change on every tablet; nobody's marks move by it. */
export function SwapDialog({ lanes, who, onSwap, onClose }: SwapDialogProps) {
  const say = useSay(callerWords);
  const swap = (pair: [CandidateId, CandidateId]) => {
    onSwap(pair);
    onClose();
  };
  return (
    <Dialog open title={say("swap-title")} onClose={onClose}>
      <p>{say("swap-hint")}</p>
      <SwapChoice candidates={lanes} who={who} onSwap={swap} />
    </Dialog>
  );
}
