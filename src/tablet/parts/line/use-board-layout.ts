import { useMemo } from "react";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { useSay } from "../use-say.ts";
import type { Scale } from "./board-data.ts";
import { type BoardForm, type BoardLayout, type BoardShape, boardLayout } from "./board-layout.ts";
import type { Size } from "./use-size.ts";

interface LaidOut {
  layout: BoardLayout;
  /** One word a target, left to right. */
  zones: readonly string[];
  /** The words over a lane, where they stand. */
  words: readonly LaneWord[];
}
interface LaneWord {
  word: string;
  at: number;
  meets: boolean;
  lower: boolean;
}

/** Where everything on a board stands; the same objects until its size, its form or its words change. */
export function useBoardLayout(board: {
  form: BoardForm;
  shape: BoardShape;
  size: Size;
  columns: number;
  rows: number;
  scale: Scale;
  handed: "right" | "left";
  flipped: boolean;
}): LaidOut {
  const { form, shape, size, columns, rows, scale, handed, flipped } = board;
  const { meetsLevel } = scale;
  const notSeenWord = useSay(judgeWords)("notSeen");
  return useMemo(() => {
    const zones =
      form === "cells"
        ? [scale.levels[meetsLevel - 2] ?? "", scale.levels[meetsLevel] ?? ""]
        : form === "checklist"
          ? [...scale.levels, notSeenWord]
          : scale.levels;
    const layout = boardLayout({
      form,
      shape,
      width: size.width,
      height: size.height,
      columns,
      rows,
      levels: scale.levels.length,
      meetsLevel,
      handed,
      flipped,
      longestWord: Math.max(...zones.map((word) => word.length)),
      textScale: size.textScale,
    });
    const words = layout.dots
      .map((at, index) => ({
        word: (form === "checklist" ? zones : scale.levels)[index] ?? "",
        at,
        meets: index + 1 === meetsLevel,
        lower: layout.wordsInTwo && index % 2 === 1,
        near: Math.abs(index + 1 - meetsLevel) === 1,
      }))
      .filter(({ near }) => form !== "cells" || near);
    return { layout, zones, words };
  }, [form, shape, size, columns, rows, scale.levels, meetsLevel, handed, flipped, notSeenWord]);
}
