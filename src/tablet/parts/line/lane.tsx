import { memo } from "react";
import css from "./board.module.css";
import type { BoardLayout } from "./board-layout.ts";

interface LaneProps {
  layout: BoardLayout;
  left: number;
  top: number;
  words: readonly { word: string; at: number; meets: boolean; lower: boolean }[];
  /** Rows from the first asked to the last; undefined where nothing is asked. */
  first: number | undefined;
  last: number | undefined;
  closed: boolean;
  seen: boolean;
}

/** The leaf a child's marks lie on: the words of the levels and the plumb line, dashed until every asked cell is marked. */
export const Lane = memo(function Lane(props: LaneProps) {
  const { layout, left, top, words, first, last, closed, seen } = props;
  const width = layout.lanes[0]?.width ?? 0;
  const upper = layout.rowsTop + (first ?? 0) * layout.rowHeight;
  const from = first === 0 ? upper - 4 : upper + layout.nameHeight * 0.5 + 8;
  const to = layout.rowsTop + ((last ?? 0) + 1) * layout.rowHeight;
  return (
    <div
      className={css.lane}
      aria-hidden="true"
      data-seen={seen}
      style={{
        left,
        top: top + layout.wordsTop,
        width,
        height: layout.leafBottom - layout.wordsTop,
      }}
    >
      {words.map(({ word, at, meets, lower }) => (
        <span
          key={word}
          className={css.laneWord}
          data-meets={meets}
          // Over its level, and never out of the lane.
          style={{
            left: at,
            top: lower ? 26 : 4,
            transform: `translateX(max(-50%, ${4 - at}px))`,
          }}
        >
          {word}
        </span>
      ))}
      {first !== undefined && (
        <span
          className={css.laneLine}
          data-closed={closed}
          style={{ left: layout.line, top: from - layout.wordsTop, height: to - from }}
        />
      )}
    </div>
  );
});
