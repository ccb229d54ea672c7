import type { ReactNode } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { useSay } from "../use-say.ts";
import type { BoardProps } from "./board-data.ts";
import type { LaneState } from "./lane-states.ts";
import { lowerFirst } from "./lower-first.ts";
import { Rail } from "./rail.tsx";

interface BoardRailProps<Row extends string> {
  board: BoardProps<Row>;
  lanes: readonly LaneState[];
  child: ReactNode;
  rest: string | null;
  onRest: () => void;
}

/** What stands in the place of the closing key; null while something is blank. */
function doneOf(lanes: readonly LaneState[]): "allMarked" | "locked" | null {
  if (lanes.some(({ state }) => state === "open")) return null;
  const asked = lanes.filter(({ state }) => state !== "not-asked");
  return asked.length > 0 && asked.every(({ state }) => state === "locked")
    ? "locked"
    : "allMarked";
}

/** The rail in the words of this board: whose mark is the newest, what an undo took away. */
export function BoardRail<Row extends string>(props: BoardRailProps<Row>) {
  const { board, lanes } = props;
  const { newest, undone } = board;
  const say = useSay(judgeWords);
  const named = (place: { candidate: CandidateId; criterion: Row | null }) => {
    const who = board.columns.find(({ candidate }) => candidate === place.candidate);
    const what = board.rows.find(({ criterion }) => criterion === place.criterion);
    return who && { who, what: what ? lowerFirst(what.title, say.locale) : "" };
  };
  const newestNamed = newest && named(newest);
  const undoneNamed = undone && named(undone);
  return (
    <Rail
      caption={
        newestNamed
          ? { who: `${newestNamed.who.number} ${newestNamed.who.given}`, what: newestNamed.what }
          : null
      }
      undone={
        undoneNamed
          ? undone.criterion === null
            ? say("undoneRest")
            : say("undone", { given: undoneNamed.who.given, criterion: undoneNamed.what })
          : null
      }
      faults={board.faults ?? []}
      child={props.child}
      rest={props.rest}
      blank={lanes.reduce((sum, lane) => sum + lane.blank, 0)}
      done={doneOf(lanes)}
      onFault={board.onFault}
      onUndo={board.onUndo}
      mayUndo={board.mayUndo ?? true}
      onRest={props.onRest}
    />
  );
}
