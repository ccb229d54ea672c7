import { useState } from "react";
import { clockTime } from "../../../words/dates.ts";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { type Stop, useStop } from "../../session/stop-told.ts";
import { Stopped } from "./stopped.tsx";

/** A stop covers every page. Whom it cannot hold puts it away: then one line of it stands above the page until it is over. */
export function StoppedFloor() {
  const stop = useStop(useNotebook());
  const [left, setLeft] = useState<Stop["entry"]>();
  if (!stop) return null;
  if (stop.mayLeave && left === stop.entry)
    return <StopStrip stop={stop} onShow={() => setLeft(undefined)} />;
  return <Stopped stop={stop} onLeave={() => setLeft(stop.entry)} />;
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
