import { memo } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { Key } from "../key.tsx";
import { Seal } from "../seal.tsx";
import { useSay } from "../use-say.ts";
import css from "./lane-keys.module.css";
import type { LaneState } from "./lane-states.ts";

interface LaneKeysProps {
  candidate: CandidateId;
  number: number;
  given: string;
  /** "Rest meets", as the form words it; null where nothing may be filled at once. */
  rest: string | null;
  state: LaneState["state"];
  mayNotSee: boolean;
  /** Away from its lane the key says whose it is. */
  named?: boolean;
  onRest: (candidates: readonly CandidateId[]) => void;
  onNotSeen: (candidate: CandidateId) => void;
}

/** The foot of a lane: its own rest and "not seen", or the seal when all is marked. */
export const LaneKeys = memo(function LaneKeys(props: LaneKeysProps) {
  const { candidate, number, given, rest, state, mayNotSee, onRest, onNotSeen } = props;
  const say = useSay(judgeWords);
  if (state === "not-asked") return <span className={css.words}>{say("notInCall")}</span>;
  if (state === "closed" || state === "locked")
    return (
      <span className={css.sealed}>
        <Seal lands /> {props.named ? `${number} ${given} ` : ""}
        {say(state === "locked" ? "locked" : "laneAllMarked")}
      </span>
    );
  const notSeen = say("notSeen");
  return (
    <>
      {state === "open" && rest !== null ? (
        <Key
          aria-label={`${rest}, ${number} ${given}`}
          under={props.named ? `${number} ${given}` : undefined}
          onClick={() => onRest([candidate])}
        >
          {rest}
        </Key>
      ) : (
        <span />
      )}
      {mayNotSee && (
        <Key
          kind="quiet"
          pressed={state === "not-seen"}
          aria-label={`${notSeen}, ${number} ${given}`}
          onClick={() => onNotSeen(candidate)}
        >
          {notSeen}
        </Key>
      )}
    </>
  );
});
