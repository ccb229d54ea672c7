import partsWords from "../../words/en/parts.json" with { type: "json" };
import css from "./count-strokes.module.css";
import { useSay } from "./use-say.ts";

interface CountStrokesProps {
  /** Counts called so far, the present one included. */
  done: number;
  total: number;
  /** While the set runs the last stroke called wears the seal; when it is over, none does. */
  running?: boolean;
}

/** The counts of a set as strokes, the one being called in the seal. */
export function CountStrokes({ done, total, running = false }: CountStrokesProps) {
  const say = useSay(partsWords);
  const strokes = Array.from({ length: total }, (_, index) => index + 1);
  return (
    <span
      className={css.root}
      data-part="count-strokes"
      role="img"
      aria-label={say("strokes", { done, total })}
      data-many={total > 10 || undefined}
    >
      {strokes.map((count) => (
        <span
          key={count}
          data-state={count > done ? "ahead" : running && count === done ? "now" : "done"}
        />
      ))}
    </span>
  );
}
