import partsWords from "../../words/en/parts.json" with { type: "json" };
import { useSay } from "./use-say.ts";
import "./holding-strip.css";

interface HoldingStripProps {
  /** Marks on this tablet that the hub has not acknowledged. */
  waiting: number;
  connected: boolean;
}

/** Always tells how much only this tablet holds. Nothing is shown while all is on the hub. */
export function HoldingStrip({ waiting, connected }: HoldingStripProps) {
  const say = useSay(partsWords);
  if (connected && waiting === 0) return null;
  return (
    <div className="holding-strip" role="status" data-hub={connected ? "here" : "away"}>
      {waiting > 0 && <strong>{say("holding", { count: waiting })}</strong>}
      {!connected && <span>{say("noHub")}</span>}
    </div>
  );
}
