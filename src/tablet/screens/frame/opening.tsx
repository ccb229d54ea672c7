import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";

/** For the moment in which a screen's own script is on its way. */
export function Opening() {
  const say = useSay(frameWords);
  return (
    <main className="plain-page" aria-busy="true">
      {say("opening")}
    </main>
  );
}
