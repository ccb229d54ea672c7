import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";

/** Above a chief's pages, which stay readable: nothing more is taken, but for a correction. */
export function ClosedStrip() {
  const say = useSay(frameWords);
  return (
    <p className="closed-strip not-on-paper" role="status">
      {say("test-closed-strip")}
    </p>
  );
}
