import severityWords from "../../words/en/severity.json" with { type: "json" };
import css from "./drift-line.module.css";
import { useSay } from "./use-say.ts";

interface DriftLineProps {
  /** Wave by wave, how many levels lower than the others. */
  points: readonly { wave: number; apart: number }[];
  reach: number;
}

const [WIDTH, HEIGHT, EDGE] = [160, 40, 6];

/** A judge through the day: above the line marks higher than the others, below it lower. */
export function DriftLine({ points, reach }: DriftLineProps) {
  const say = useSay(severityWords);
  const label = say("drift", {
    values: points.map(({ apart }) => (0 - apart).toFixed(2)).join(", "),
  });
  const first = points[0]?.wave ?? 0;
  const span = Math.max(1, (points.at(-1)?.wave ?? 0) - first);
  const at = ({ wave, apart }: DriftLineProps["points"][number]) => ({
    x: EDGE + ((WIDTH - 2 * EDGE) * (wave - first)) / span,
    y: HEIGHT / 2 + ((HEIGHT / 2 - EDGE) * Math.max(-reach, Math.min(reach, apart))) / reach,
  });
  const places = points.map(at);
  return (
    <svg className={css.root} viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={label}>
      <path className={css.zero} d={`M0 ${HEIGHT / 2}H${WIDTH}`} />
      <path d={places.map(({ x, y }, place) => `${place ? "L" : "M"}${x} ${y}`).join("")} />
      {places.map(({ x, y }) => (
        <circle key={x} cx={x} cy={y} r={4} />
      ))}
    </svg>
  );
}
