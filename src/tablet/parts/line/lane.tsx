import { memo } from "react";
import { Belt, type BeltColours } from "../belt.tsx";
import type { BoardLayout } from "./board-layout.ts";

interface LaneProps {
  layout: BoardLayout;
  left: number;
  top: number;
  words: readonly { word: string; at: number; meets: boolean; lower: boolean }[];
  /** Rows from the first asked to the last; null where nothing is asked. */
  asked: { first: number; last: number } | null;
  closed: boolean;
  seen: boolean;
}

/** The leaf a child's marks lie on: the words of the levels and the plumb line, dashed until every asked cell is marked. */
export const Lane = memo(function Lane(props: LaneProps) {
  const { layout, left, top, words, asked, closed, seen } = props;
  const width = layout.lanes[0]?.width ?? 0;
  const upper = asked ? layout.rowsTop + asked.first * layout.rowHeight : 0;
  const from = asked?.first === 0 ? upper - 4 : upper + layout.nameHeight * 0.5 + 8;
  const to = asked ? layout.rowsTop + (asked.last + 1) * layout.rowHeight : 0;
  return (
    <div
      className="lane"
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
          className="lane-word"
          data-meets={meets}
          style={{ left: at, top: lower ? 26 : 4 }}
        >
          {word}
        </span>
      ))}
      {asked && (
        <span
          className="lane-line"
          data-closed={closed}
          style={{ left: layout.line, top: from - layout.wordsTop, height: to - from }}
        />
      )}
    </div>
  );
});

/** Children with long names are not cut short before they must be. */
const nameFit = (given: string): "short" | "long" | "longest" =>
  given.length <= 6 ? "short" : given.length <= 9 ? "long" : "longest";

interface LaneHeadProps {
  number: number;
  given: string;
  sounds: string | undefined;
  belt: BeltColours;
  /** Where there is little room. */
  short?: boolean;
}

export const LaneHead = memo(function LaneHead(props: LaneHeadProps) {
  const { number, given, sounds, belt, short = false } = props;
  return (
    <span className="head" data-fit={nameFit(given)}>
      <span className="head-number">{number}</span>{" "}
      <span className="head-name">
        <span className="head-given">{given}</span>
        {sounds !== undefined && <span className="head-sounds">{sounds}</span>}
      </span>{" "}
      <Belt belt={belt} short={short} />
    </span>
  );
});
