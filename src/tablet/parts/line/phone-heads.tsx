import type { CandidateId } from "../../../belt-test/identity.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { useSay } from "../use-say.ts";
import type { BoardColumn } from "./board-data.ts";
import css from "./lane-head.module.css";
import { LaneHead } from "./lane-head.tsx";

interface PhoneHeadsProps {
  columns: readonly BoardColumn[];
  chosen: BoardColumn | undefined;
  choose: (candidate: CandidateId) => void;
}

/** On a phone one child is marked at a time: these turn to the next. */
export function PhoneHeads({ columns, chosen, choose }: PhoneHeadsProps) {
  const say = useSay(judgeWords);
  return (
    <fieldset className={css.headsPhone} aria-label={say("candidates")}>
      {columns.map((column) => (
        <button
          key={column.candidate}
          type="button"
          className={css.key}
          aria-pressed={column === chosen}
          onClick={() => choose(column.candidate)}
        >
          <LaneHead
            number={column.number}
            given={column.given}
            sounds={undefined}
            belt={column.belt}
            expected={column.expected}
            short
          />
        </button>
      ))}
    </fieldset>
  );
}
