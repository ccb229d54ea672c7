import { memo } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { BoardLayout } from "./board-layout.ts";
import css from "./lane-keys.module.css";
import { LaneKeys } from "./lane-keys.tsx";
import type { LaneState } from "./lane-states.ts";

interface LaneFootProps {
  layout: BoardLayout;
  left: number;
  width: number;
  candidate: CandidateId;
  number: number;
  given: string;
  state: LaneState["state"];
  rest: string | null;
  mayNotSee: boolean;
  onRest: (candidates: readonly CandidateId[]) => void;
  onNotSeen: (candidate: CandidateId) => void;
}

/** The keys of one lane, under it. */
export const LaneFoot = memo(function LaneFoot({ layout, left, width, ...keys }: LaneFootProps) {
  return (
    <div
      className={css.root}
      style={{
        left,
        top: layout.keysTop,
        width,
        height: layout.keysHeight,
        ["--line-at" as string]: `${layout.line}px`,
      }}
    >
      <LaneKeys {...keys} />
    </div>
  );
});
