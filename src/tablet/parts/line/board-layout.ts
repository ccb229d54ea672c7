/** Which grammar a board speaks: strips of levels, two-sided cells, or a list of things done. */
export type BoardForm = "strips" | "cells" | "checklist";
type Handed = "right" | "left";
/** `wide` has a gutter for the criteria; `tall` writes them above each row; `phone` shows one candidate at a time. */
export type BoardShape = "wide" | "tall" | "phone";

export interface BoardWish {
  form: BoardForm;
  shape: BoardShape;
  /** Pixels of the board itself, without band and rail. */
  width: number;
  height: number;
  columns: number;
  rows: number;
  /** Levels of the scale; a checklist has its two and "not seen" as a third place. */
  levels: number;
  meetsLevel: number;
  handed: Handed;
  flipped: boolean;
  /** Letters in the longest word above a lane. */
  longestWord: number;
  /** 1, or more where a person asked for large text. */
  textScale: number;
}

interface Lane {
  left: number;
  width: number;
  /** 0, or 1 for a lane that stands in the second rank. */
  rank: number;
}

/** Where everything on a board stands, in pixels from the board's corner. */
export interface BoardLayout {
  gutter: { left: number; width: number } | null;
  /** By column as given, not by place: flipping moves `left` alone. */
  lanes: readonly Lane[];
  /** Top of each rank's heads. */
  ranks: readonly number[];
  headHeight: number;
  /** From the top of a rank. */
  wordsTop: number;
  wordsHeight: number;
  /** Long words over many levels take turns in two lines. */
  wordsInTwo: boolean;
  rowsTop: number;
  /** A row is a name strip (0 high beside a gutter) over its target. */
  rowHeight: number;
  nameHeight: number;
  leafBottom: number;
  keysTop: number;
  keysHeight: number;
  /** Centres of the levels, worst first, from a lane's left. */
  dots: readonly number[];
  /** Where one target ends and the next begins, from a lane's left: one more than there are targets. */
  bounds: readonly number[];
  /** The plumb line, from a lane's left. */
  line: number;
  /** Where "not seen" is drawn, from a lane's left. */
  notSeenAt: number;
  /** On a phone a row's name is written over the top of its target: ink keeps clear of it. */
  inkTop: number;
  /** Diameters. */
  mark: number;
  bead: number;
  contentHeight: number;
}

const EDGE = 8;
const LANE_KEYS = 64;
/** A letter of a level's word is about this wide. */
const LETTER = 7.6;
/** No row is lower than this where a finger must land: a long checklist scrolls instead. */
const LOWEST_ROW = 64;
/** Centres of the usual four levels as shares of a lane: *Nearly*, the likeliest exception, gets the widest target. */
const USUAL_FOUR = [0.1154, 0.3846, 0.648, 0.87] as const;
/** The same where lanes are narrow and the words of the levels need the room. */
const USUAL_FOUR_NARROW = [0.14, 0.385, 0.645, 0.875] as const;

/**
 * The geometry of the judge's board. Targets abut inside a lane and meet halfway between two dots, so that the nearest dot wins;
 * lanes keep at least 14 dead pixels between them.
 */
export function boardLayout(wish: BoardWish): BoardLayout {
  const { form, shape, width, height, columns, rows, handed, flipped } = wish;
  const inRanks = form === "cells" && shape === "tall" && columns > 3;
  const ranks = inRanks ? 2 : 1;
  const across = Math.max(1, Math.ceil(columns / ranks));
  const hasGutter = shape === "wide" || (form === "cells" && shape !== "phone");
  const gutterWidth = hasGutter ? gutterFor(wish) : 0;
  const gap = form === "cells" ? 8 : shape === "wide" ? 10 : 6;
  const dead = form === "cells" ? 3 : shape === "wide" ? 4 : 2;

  const room = width - EDGE - (hasGutter ? gutterWidth + 2 : EDGE) + (hasGutter ? 0 : gap);
  const pitch = Math.floor(room / across);
  const laneWidth = pitch - gap;
  const start = handed === "right" ? (hasGutter ? gutterWidth + 2 : EDGE) : hasGutter ? 12 : EDGE;
  const lanes = Array.from({ length: columns }, (_, column): Lane => {
    const rank = Math.floor(column / across);
    const inRank = Math.min(across, columns - rank * across);
    const place = column % across;
    return { left: start + (flipped ? inRank - 1 - place : place) * pitch, width: laneWidth, rank };
  });

  const headHeight = shape === "phone" ? 0 : shape === "tall" && !inRanks ? 84 : 60;
  const { dots, bounds, line, mark } =
    form === "cells" ? twoSided(wish, laneWidth, dead) : strip(wish, laneWidth, dead);
  const wordWidth = (wish.longestWord * LETTER + 2) * wish.textScale;
  const wordsInTwo = form !== "cells" && wordWidth > closest(dots);
  const wordsHeight = wordsInTwo ? 54 : 32;
  const keysHeight = inRanks ? 0 : LANE_KEYS;
  const rankHeight = Math.floor(height / ranks);
  const rowsTop = headHeight + wordsHeight;
  const nameHeight = hasGutter || shape === "phone" ? 0 : 30;
  const inkTop = shape === "phone" ? 22 : 0;
  const fits = (rankHeight - rowsTop - keysHeight - 4) / Math.max(1, rows);
  const lowest = form === "checklist" ? LOWEST_ROW : 44;
  const rowHeight = Math.floor(Math.max(fits, lowest + nameHeight));
  const leafBottom = Math.max(rowsTop + rowHeight * rows, rankHeight - keysHeight - 4);
  const keysTop = leafBottom + 4;

  const rankStep = Math.max(rankHeight, keysTop + keysHeight);
  const target = rowHeight - nameHeight;
  return {
    gutter: hasGutter
      ? {
          left: handed === "right" ? 0 : width - gutterWidth,
          width: gutterWidth,
        }
      : null,
    lanes,
    ranks: Array.from({ length: ranks }, (_, rank) => rank * rankStep),
    headHeight,
    wordsTop: headHeight,
    wordsHeight,
    wordsInTwo,
    rowsTop,
    rowHeight,
    nameHeight,
    leafBottom,
    keysTop,
    keysHeight,
    dots,
    bounds,
    line,
    notSeenAt: form === "checklist" ? (dots.at(-1) ?? line) : line,
    inkTop,
    mark: Math.round(Math.min(mark, (target - inkTop) * (inkTop > 0 ? 0.8 : 0.7))),
    bead: 20,
    contentHeight: (ranks - 1) * rankStep + keysTop + keysHeight,
  };
}

function gutterFor({ form, width, textScale }: BoardWish): number {
  if (form === "checklist") return Math.round(Math.min(360, width * 0.3));
  return Math.round((width >= 1300 ? 150 : 126) * textScale);
}

function strip({ form, shape, levels, meetsLevel }: BoardWish, width: number, dead: number) {
  const places = form === "checklist" ? levels + 1 : levels;
  const isUsual = form === "strips" && levels === 4 && meetsLevel === 3;
  const shares = isUsual
    ? shape === "wide"
      ? USUAL_FOUR
      : USUAL_FOUR_NARROW
    : Array.from({ length: places }, (_, index) => (index + 0.5) / places);
  const dots = shares.map((share) => Math.round(share * width));
  const between = dots.slice(1).map((dot, index) => ((dots[index] ?? 0) + dot) / 2);
  return {
    dots,
    bounds: [dead, ...between, width - dead],
    line: dots[meetsLevel - 1] ?? width / 2,
    mark: Math.min(66, closest(dots) * 0.96, 2 * (dots[0] ?? 33) - 4),
  };
}

const closest = (dots: readonly number[]): number =>
  Math.min(...dots.slice(1).map((dot, index) => dot - (dots[index] ?? 0)));

function twoSided({ levels, meetsLevel }: BoardWish, width: number, dead: number) {
  const below = meetsLevel - 1;
  const above = levels - meetsLevel;
  const reach = width - 2 * dead;
  // A scale may have nothing above its standard, or nothing below: then the whole cell is one target.
  const line =
    above === 0 ? width - dead - 12 : below === 0 ? dead + 12 : Math.round(dead + reach * 0.6);
  const left = line - dead;
  const right = width - dead - line;
  const step = (count: number, index: number, span: number) =>
    count > 1 ? (index / (count - 1)) * span : 0;
  const dots = Array.from({ length: levels }, (_, index) => {
    const level = index + 1;
    if (level === meetsLevel) return line;
    return level < meetsLevel
      ? line - left * (0.385 + step(below, meetsLevel - 1 - level, 0.34))
      : line + right * (0.52 + step(above, level - meetsLevel - 1, 0.16));
  }).map(Math.round);
  return { dots, bounds: [dead, line, width - dead], line, mark: Math.min(60, left * 0.5) };
}
