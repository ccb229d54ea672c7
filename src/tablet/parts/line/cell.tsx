import { memo } from "react";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { LevelMark, NotSeenMark } from "../level-glyph.tsx";
import { useSay } from "../use-say.ts";
import type { BoardLayout } from "./board-layout.ts";
import css from "./cell.module.css";
import { lowerFirst } from "./lower-first.ts";
import { cellKey, useWet, type WetInk } from "./wet-ink.ts";

interface CellProps {
  ink: WetInk;
  layout: BoardLayout;
  left: number;
  top: number;
  column: number;
  row: number;
  /** What a screen reader calls this cell, without its state. */
  number: number;
  given: string;
  title: string;
  /** One word a target, left to right. */
  zones: readonly string[];
  levels: readonly string[];
  meetsLevel: number;
  level: number | "not-seen" | undefined;
  how: "tapped" | "rest" | undefined;
  kept: boolean;
  newest: boolean;
  asked: boolean;
  seen: boolean;
  /** The cell the arrow keys have reached: the only one in the tab order. */
  reached: boolean;
  twoSided: boolean;
}

/**
 * One child, one criterion. Everything here is a plain value, so that a tap draws this cell again and no other.
 *
 * A gridcell whose name tells its state ("14 Mia, extension: nearly"), holding one button a target: a reader's finger can press
 * each level, and the arrow keys need only one stop a cell. Radios would not do, since the level that stands can be taken off.
 */
export const Cell = memo(function Cell(drawn: CellProps) {
  const at = cellKey(drawn.column, drawn.row);
  const wet = useWet(drawn.ink, at);
  const props = wet?.written
    ? { ...drawn, level: wet.written.level, how: "tapped" as const, kept: false }
    : drawn;
  const { layout, left, top, level, kept, asked, seen, meetsLevel } = props;
  const newest = wet?.newest ?? props.newest;
  const say = useSay(judgeWords);
  const from = layout.bounds[0] ?? 0;
  const width = (layout.bounds.at(-1) ?? 0) - from;
  const height = layout.rowHeight - layout.nameHeight;
  const middle = layout.inkTop + (height - layout.inkTop) / 2;
  const state = !asked
    ? say("notAsked")
    : !seen || level === "not-seen"
      ? say("notSeenState")
      : level === undefined
        ? say("blank")
        : lowerFirst(props.levels[level - 1] ?? "", say.locale);
  const label = say(level !== undefined && !kept ? "cellNotKept" : "cell", {
    number: props.number,
    given: props.given,
    criterion: lowerFirst(props.title, say.locale),
    state,
  });
  return (
    // biome-ignore lint/a11y/useSemanticElements: a table cell cannot stand by absolute geometry over its lane
    <div
      role="gridcell"
      className={css.root}
      aria-label={label}
      aria-disabled={!asked || undefined}
      tabIndex={props.reached ? 0 : -1}
      data-cell={at}
      style={{ left: left + from, top: top + layout.nameHeight, width, height }}
    >
      <svg className={css.ink} width={width} height={height} aria-hidden="true">
        {asked && <CellInk {...props} from={from} middle={middle} />}
        {newest && level !== undefined && asked && (
          <Underline
            x={(level === "not-seen" ? layout.notSeenAt : place(layout, level)) - from}
            y={middle + layout.mark / 2 + 4}
            size={layout.mark}
            kept={kept}
          />
        )}
      </svg>
      {asked &&
        seen &&
        props.zones.map((word, zone) => (
          <button
            key={word}
            type="button"
            tabIndex={-1}
            className={css.target}
            aria-label={word}
            aria-pressed={
              props.twoSided
                ? typeof level === "number" &&
                  (zone === 0 ? level < meetsLevel : level > meetsLevel)
                : zone === props.levels.length
                  ? level === "not-seen"
                  : level === zone + 1
            }
            data-zone={zone}
            style={{
              left: (layout.bounds[zone] ?? 0) - from,
              width: (layout.bounds[zone + 1] ?? 0) - (layout.bounds[zone] ?? 0),
            }}
          />
        ))}
    </div>
  );
});

const place = (layout: BoardLayout, level: number): number => layout.dots[level - 1] ?? 0;

interface CellInkProps extends CellProps {
  from: number;
  middle: number;
}

function CellInk({ layout, level, how, seen, meetsLevel, from, middle, twoSided }: CellInkProps) {
  const line = layout.line - from;
  if (!seen) return <NotSeenMark x={line} y={middle} size={layout.mark * 0.7} />;
  const marked = level !== undefined;
  const dots = layout.dots.map((dot, index) => ({ x: dot - from, level: index + 1 }));
  const x = typeof level === "number" ? place(layout, level) - from : line;
  const isBead = level === meetsLevel && how === "rest";
  const size = isBead ? layout.bead : layout.mark;
  const toLine = Math.abs(x - line);
  return (
    <>
      {dots
        .filter((dot) => dot.level !== meetsLevel && dot.level !== level)
        // None under the mark or its thread.
        .filter(
          (dot) =>
            !marked || dot.x < Math.min(x, line) - size / 2 || dot.x > Math.max(x, line) + size / 2,
        )
        .map((dot) => (
          <circle
            key={dot.level}
            className={css.dot}
            cx={dot.x}
            cy={middle}
            r={marked ? 2.5 : twoSided && Math.abs(dot.level - meetsLevel) > 1 ? 3 : 4.5}
            opacity={marked ? 0.55 : 1}
          />
        ))}
      {level === "not-seen" && (
        <NotSeenMark x={layout.notSeenAt - from} y={middle} size={layout.mark} />
      )}
      {typeof level === "number" && (
        <>
          {toLine > size / 2 && (
            <path
              className={css.thread}
              d={`M${line} ${middle}H${x < line ? x + size / 2 : x - size / 2}`}
            />
          )}
          <LevelMark level={level} meetsLevel={meetsLevel} x={x} y={middle} size={size} />
        </>
      )}
    </>
  );
}

/** The newest mark wears the seal; hollow until the tablet's disk has it. */
function Underline(at: { x: number; y: number; size: number; kept: boolean }) {
  const { x, y, size, kept } = at;
  return (
    <rect
      className={kept ? css.newest : css.newestOpen}
      x={x - size / 2}
      y={y}
      width={size}
      height={kept ? 4 : 5}
    />
  );
}
