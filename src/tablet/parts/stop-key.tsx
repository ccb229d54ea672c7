import partsWords from "../../words/en/parts.json" with { type: "json" };
import css from "./stop-key.module.css";
import { useSay } from "./use-say.ts";

interface StopKeyProps {
  onStop: () => void;
  /** The caller's size, with its reason written on it. */
  large?: boolean;
}

/** Stops the floor with one tap. Striped, so that it is found without reading; it stands in a corner, away from the marking hand. */
export function StopKey({ onStop, large = false }: StopKeyProps) {
  const say = useSay(partsWords);
  return (
    <button
      type="button"
      className={css.root}
      data-part="stop-key"
      data-large={large || undefined}
      aria-label={say("stopLabel")}
      onClick={onStop}
    >
      <span>
        {say("stop")}
        {large && <small>{say("stopWhy")}</small>}
      </span>
    </button>
  );
}
