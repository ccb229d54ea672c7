import closedWords from "../../../words/en/closed.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import css from "./session-frame.module.css";

/** Above a chief's pages, which stay readable: nothing more is taken, but for a correction. */
export function ClosedStrip() {
  const say = useSay(closedWords);
  return (
    <p className={`${css.strip} not-on-paper`} role="status">
      {say("strip")}
    </p>
  );
}
