import { ReferenceLine, Scatter, ScatterChart, XAxis, YAxis } from "recharts";
import type { ProfilePoint } from "../../belt-test/feedback/profile.ts";
import type { Rubric } from "../../belt-test/rubric/rubric.ts";
import sheetsWords from "../../words/en/sheets.json" with { type: "json" };
import { LevelMark } from "../parts/level-glyph.tsx";
import { useSay } from "../parts/use-say.ts";
import { nearestLevel } from "./nearest-level.ts";
import css from "./sheet-page.module.css";

// Fixed, since a printed page has no second chance to measure itself.
const WIDTH = 560;
const ROW = 25;
const HEAD = 26;
const NAMES = 96;

/** The line with a dot a criterion: how far each hangs left or right of *Meets* over the whole test. */
export function ProfileChart({
  profile,
  scale,
}: {
  profile: readonly ProfilePoint[];
  scale: Rubric["scale"];
}) {
  const say = useSay(sheetsWords);
  const seen = profile.flatMap(({ title, percent }, at) =>
    percent === null ? [] : [{ title, percent, row: at + 1 }],
  );
  const height = HEAD + ROW * profile.length;
  const meets = scale.levels[scale.meetsLevel - 1];
  const meetsPoints = meets?.points ?? 0;
  const margin = { top: 0, right: 30, bottom: 0, left: 0 };
  const across = WIDTH - NAMES - margin.right;
  const xOf = (percent: number) => NAMES + (percent / 100) * across;
  return (
    <div
      className={css.profileChart}
      role="img"
      aria-label={say("page-profile-chart", { meets: meets?.title ?? "" })}
    >
      <ScatterChart width={WIDTH} height={height} margin={margin} accessibilityLayer={false}>
        <XAxis
          type="number"
          dataKey="percent"
          domain={[0, 100]}
          ticks={scale.levels.map(({ points }) => points)}
          tickFormatter={(points: number) =>
            scale.levels.find((level) => level.points === points)?.title ?? ""
          }
          orientation="top"
          axisLine={false}
          tickLine={false}
          height={HEAD}
          interval={0}
          tick={{ fill: "currentColor", fontSize: 13 }}
        />
        <YAxis
          type="number"
          dataKey="row"
          domain={[0.5, profile.length + 0.5]}
          ticks={profile.map((_, at) => at + 1)}
          tickFormatter={(row: number) => profile[row - 1]?.title ?? ""}
          reversed
          axisLine={false}
          tickLine={false}
          width={NAMES}
          interval={0}
          tick={{ fill: "currentColor", fontSize: 15 }}
        />
        <ReferenceLine x={meetsPoints} stroke="currentColor" strokeWidth={3} />
        <Scatter
          data={seen}
          isAnimationActive={false}
          shape={({ cx = 0, cy = 0, payload }: DotProps) => (
            <g>
              <path
                d={`M${xOf(meetsPoints)} ${cy}H${cx}`}
                stroke="currentColor"
                strokeWidth={2.5}
              />
              <LevelMark
                level={nearestLevel(payload?.percent ?? 0, scale)}
                meetsLevel={scale.meetsLevel}
                x={cx}
                y={cy}
                size={18}
              />
            </g>
          )}
        />
      </ScatterChart>
    </div>
  );
}

interface DotProps {
  cx?: number | undefined;
  cy?: number | undefined;
  payload?: { percent?: number | undefined } | undefined;
}
