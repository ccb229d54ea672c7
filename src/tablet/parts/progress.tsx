import partsWords from "../../words/en/parts.json" with { type: "json" };
import css from "./progress.module.css";
import { useSay } from "./use-say.ts";

interface ProgressProps {
  /** What is being done: "Reading 24 candidates". */
  what: string;
  done: number;
  /** Absent while nobody knows. */
  total?: number;
}

/** How far a long work has come, counted in its own things. */
export function Progress({ what, done, total }: ProgressProps) {
  const say = useSay(partsWords);
  const known = total !== undefined && total > 0;
  return (
    <div className={css.root}>
      <span className={css.what}>{what}</span>
      {known && <span>{say("progress", { done, total })}</span>}
      <div
        className={css.bar}
        role="progressbar"
        aria-label={what}
        data-unknown={!known || undefined}
        {...(known ? { "aria-valuenow": done, "aria-valuemin": 0, "aria-valuemax": total } : {})}
      >
        <span style={known ? { width: `${Math.min(100, (done / total) * 100)}%` } : undefined} />
      </div>
    </div>
  );
}
