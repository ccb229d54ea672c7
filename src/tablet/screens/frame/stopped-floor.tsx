import { useState } from "react";
import { clockTime } from "../../../words/dates.ts";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { type Stop, useStops } from "../../session/stop-told.ts";
import { Stopped } from "./stopped.tsx";

/** A stop covers every page. Whom it cannot hold puts it away: then one line of it stands above the page until it is over. */
export function StoppedFloor() {
  const stops = useStops(useNotebook());
  const [left, setLeft] = useState<readonly Stop["entry"][]>([]);
  const last = stops.at(-1);
  if (!last) return null;
  // Whom one stop holds is not let go by a later one that holds nobody.
  const stop =
    stops.findLast(({ mayLeave }) => !mayLeave) ??
    stops.findLast(({ entry }) => !left.includes(entry));
  if (!stop) return <StopStrip stop={last} onShow={() => setLeft([])} />;
  return <Stopped stop={stop} stops={stops} onLeave={() => setLeft([...left, stop.entry])} />;
}

function StopStrip({ stop, onShow }: { stop: Stop; onShow: () => void }) {
  const say = useSay(frameWords);
  const notebook = useNotebook();
  const name = personName(notebook, stop.by) ?? say("somebody");
  const word = stop.told === "alone" ? "alone" : stop.told === "late" ? "late" : "deaf";
  return (
    <div className="stop-strip not-on-paper" role="status">
      <p>{say(`stopped-strip-${word}`, { name, time: clockTime(stop.at, say.locale) })}</p>
      <Key onClick={onShow}>{say("stopped-show")}</Key>
    </div>
  );
}
