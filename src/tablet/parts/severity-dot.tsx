import type { CSSProperties } from "react";
import severityWords from "../../words/en/severity.json" with { type: "json" };
import css from "./severity-dot.module.css";
import { useSay } from "./use-say.ts";

interface SeverityDotProps {
  /** In levels, positive = severe; null where it cannot be told. */
  severity: { value: number; se: number } | null;
  /** Levels from the line to either edge. */
  reach: number;
}

/** A judge's dot beside the line that stands for the others: left marks lower. The bar is where the dot may be, nineteen times in twenty. */
export function SeverityDot({ severity, reach }: SeverityDotProps) {
  const say = useSay(severityWords);
  const label = severity
    ? say("beside-others", {
        size: Math.abs(severity.value),
        side: severity.value > 0 ? "lower" : "higher",
        error: severity.se,
      })
    : say("too-little");
  const at = (value: number) => 50 - (50 * Math.max(-reach, Math.min(reach, value))) / reach;
  const style = severity
    ? ({
        "--dot": `${at(severity.value)}%`,
        "--from": `${at(severity.value + 1.96 * severity.se)}%`,
        "--to": `${100 - at(severity.value - 1.96 * severity.se)}%`,
      } as CSSProperties)
    : undefined;
  return (
    <span className={css.root} data-part="severity-dot" role="img" aria-label={label} style={style}>
      {severity && <span className={css.bar} />}
      {severity && <span className={css.bead} />}
    </span>
  );
}
