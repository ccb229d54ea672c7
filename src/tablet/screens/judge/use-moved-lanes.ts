import { useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { JudgeCall } from "../../../belt-test/planning/judge-calls.ts";

export interface MovedLanes {
  /** Who stands in another lane than when this call came on the glass, or when the judge said to have seen it. */
  moved: readonly CandidateId[];
  seen: () => void;
}

/** Whether children have changed lanes under the judge's hand, whoever said so; who comes or goes moves nobody. */
export function useMovedLanes(shown: JudgeCall | undefined, wave: number): MovedLanes {
  const watched = shown?.all ?? [];
  const call = `${wave} ${shown?.key}`;
  const [before, setBefore] = useState({ call, watched });
  const stood = before.watched.filter((one) => watched.includes(one));
  const stand = watched.filter((one) => before.watched.includes(one));
  if (before.call !== call) setBefore({ call, watched });
  return {
    moved: before.call === call ? stand.filter((one, lane) => one !== stood[lane]) : [],
    seen: () => setBefore({ call, watched }),
  };
}
