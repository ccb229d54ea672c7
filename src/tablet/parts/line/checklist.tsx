import { useMemo } from "react";
import { CHECKLIST_LEVELS } from "../../../belt-test/rubric/rubric.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { useSay } from "../use-say.ts";
import { Board } from "./board.tsx";
import type { BoardProps } from "./board-data.ts";

/** Knowledge and etiquette: an item a row; done hangs on the line, not done left of it, not seen to its right. */
export function Checklist<Row extends string>(props: Omit<BoardProps<Row>, "scale">) {
  const say = useSay(judgeWords);
  const scale = useMemo(
    () => ({ levels: [say("notDone"), say("done")], meetsLevel: CHECKLIST_LEVELS }),
    [say],
  );
  return <Board form="checklist" {...props} scale={scale} />;
}
