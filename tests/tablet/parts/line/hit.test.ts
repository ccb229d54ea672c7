import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type BoardForm,
  type BoardShape,
  type BoardWish,
  boardLayout,
} from "../../../../src/tablet/parts/line/board-layout.ts";
import { hit, sameTarget } from "../../../../src/tablet/parts/line/hit.ts";

const landscape: BoardWish = {
  form: "strips",
  shape: "wide",
  width: 1180,
  height: 645,
  columns: 3,
  rows: 5,
  levels: 4,
  meetsLevel: 3,
  handed: "right",
  flipped: false,
  longestWord: 7,
  textScale: 1,
};

const boards = fc
  .record({
    form: fc.constantFrom<BoardForm>("strips", "cells", "checklist"),
    shape: fc.constantFrom<BoardShape>("wide", "tall"),
    width: fc.integer({ min: 768, max: 1600 }),
    height: fc.integer({ min: 560, max: 1000 }),
    columns: fc.integer({ min: 1, max: 6 }),
    rows: fc.integer({ min: 1, max: 8 }),
    levels: fc.integer({ min: 2, max: 7 }),
    meets: fc.double({ min: 0, max: 1, noNaN: true }),
    handed: fc.constantFrom<"right" | "left">("right", "left"),
    flipped: fc.boolean(),
  })
  .map(
    ({ meets, ...wish }): BoardWish => ({
      ...wish,
      meetsLevel: 1 + Math.round(meets * (wish.levels - 1)),
      longestWord: 7,
      textScale: 1,
    }),
  );

/** Evenly between two numbers: an arbitrary double favours the neighbourhood of nought. */
const spread = (from: number, to: number) =>
  fc.integer({ min: 0, max: 100_000 }).map((step) => from + (step / 100_000) * (to - from));

/** Every target of a board as a box, built without `hit`. */
function boxes(wish: BoardWish) {
  const layout = boardLayout(wish);
  return layout.lanes.flatMap((lane, column) =>
    Array.from({ length: wish.rows }, (_, row) => row).flatMap((row) =>
      layout.bounds.slice(1).map((right, zone) => ({
        target: { column, row, zone },
        left: lane.left + (layout.bounds[zone] ?? 0),
        right: lane.left + right,
        top:
          (layout.ranks[lane.rank] ?? 0) +
          layout.rowsTop +
          row * layout.rowHeight +
          layout.nameHeight,
        bottom: (layout.ranks[lane.rank] ?? 0) + layout.rowsTop + (row + 1) * layout.rowHeight,
      })),
    ),
  );
}

describe("where a finger lands", () => {
  it("finds every target in its own middle, on any board", () => {
    fc.assert(
      fc.property(boards, (wish) => {
        const layout = boardLayout(wish);
        for (const box of boxes(wish)) {
          const middle = { x: (box.left + box.right) / 2, y: (box.top + box.bottom) / 2 };
          expect(hit(layout, wish.rows, middle)).toEqual(box.target);
        }
      }),
    );
  });

  it("gives the level of the nearest dot wherever a strip is touched", () => {
    fc.assert(
      fc.property(boards, spread(0.001, 0.999), (wish, along) => {
        const strips = { ...wish, form: "strips" as const };
        const layout = boardLayout(strips);
        const [first = 0] = layout.bounds;
        const last = layout.bounds.at(-1) ?? 0;
        const x = first + along * (last - first);
        const target = hit(layout, strips.rows, {
          x: x + (layout.lanes[0]?.left ?? 0),
          y: layout.rowsTop + layout.nameHeight + 1,
        });
        const away = layout.dots.map((dot) => Math.abs(dot - x));
        expect(away[target?.zone ?? -1]).toBe(Math.min(...away));
      }),
    );
  });

  it.each([
    ["landscape", landscape],
    ["portrait", { ...landscape, shape: "tall" as const, width: 820, height: 806 }],
    [
      "six in portrait",
      {
        ...landscape,
        form: "cells" as const,
        shape: "tall" as const,
        columns: 6,
        width: 820,
        height: 850,
      },
    ],
  ])("marks nothing for 1,000 contacts outside every target, %s", (_, wish) => {
    const layout = boardLayout(wish);
    const all = boxes(wish);
    let outside = 0;
    fc.assert(
      fc.property(spread(-20, wish.width + 20), spread(-20, wish.height + 80), (x, y) => {
        const inside = all.some(
          (box) => x >= box.left && x < box.right && y >= box.top && y < box.bottom,
        );
        fc.pre(!inside);
        outside += 1;
        expect(hit(layout, wish.rows, { x, y })).toBeNull();
      }),
      { numRuns: 1000, maxSkipsPerRun: 1000 },
    );
    expect(outside).toBeGreaterThanOrEqual(1000);
  });

  it("is the same target only in the same cell at the same level", () => {
    const here = { column: 1, row: 2, zone: 3 };
    expect(sameTarget(here, { ...here })).toBe(true);
    expect(sameTarget(here, { ...here, zone: 2 })).toBe(false);
    expect(sameTarget(here, { ...here, row: 1 })).toBe(false);
    expect(sameTarget(here, { ...here, column: 0 })).toBe(false);
    expect(sameTarget(null, null)).toBe(false);
  });
});

describe("the board's geometry", () => {
  // 1 px is .192 mm on a 264 dpi tablet at density 2; 12 mm is the project's own least for a judge's target.
  const mm = (px: number) => px * 0.192;

  it("keeps every level of three children at least 12 mm wide and 18 mm high in landscape", () => {
    const layout = boardLayout(landscape);
    const widths = layout.bounds.slice(1).map((right, zone) => right - (layout.bounds[zone] ?? 0));
    expect(widths).toHaveLength(4);
    for (const width of widths) expect(mm(width)).toBeGreaterThanOrEqual(14.6);
    expect(mm(layout.rowHeight)).toBeGreaterThanOrEqual(18);
    expect(Math.max(...widths)).toBe(widths[1]);
  });

  it("keeps two-sided cells at least 12 mm for six children, in landscape and in two ranks", () => {
    for (const wish of [
      { ...landscape, form: "cells" as const, columns: 6 },
      {
        ...landscape,
        form: "cells" as const,
        columns: 6,
        shape: "tall" as const,
        width: 820,
        height: 850,
      },
    ]) {
      const layout = boardLayout(wish);
      const [a = 0, b = 0, c = 0] = layout.bounds;
      expect(mm(b - a)).toBeGreaterThanOrEqual(12);
      expect(mm(c - b)).toBeGreaterThanOrEqual(12);
      expect(mm(layout.rowHeight)).toBeGreaterThanOrEqual(12);
    }
  });

  it("leaves dead room between two children, and never overlaps lanes", () => {
    fc.assert(
      fc.property(boards, (wish) => {
        const layout = boardLayout(wish);
        const least = wish.shape === "wide" || wish.form === "cells" ? 14 : 10;
        const edges = layout.lanes
          .map((lane) => ({
            rank: lane.rank,
            from: lane.left + (layout.bounds[0] ?? 0),
            to: lane.left + (layout.bounds.at(-1) ?? 0),
          }))
          .sort((a, b) => a.rank - b.rank || a.from - b.from);
        edges.slice(1).forEach((lane, index) => {
          const before = edges[index];
          if (before?.rank === lane.rank)
            expect(lane.from - before.to).toBeGreaterThanOrEqual(least);
        });
        for (const { from, to } of edges) {
          expect(from).toBeGreaterThanOrEqual(8);
          expect(to).toBeLessThanOrEqual(wish.width - 8);
        }
      }),
    );
  });

  it("keeps two ranks apart when a rubric asks eight criteria on a low screen", () => {
    const wish = {
      ...landscape,
      form: "cells" as const,
      shape: "tall" as const,
      columns: 6,
      rows: 8,
      width: 768,
      height: 560,
    };
    const layout = boardLayout(wish);
    const [, second = 0] = layout.ranks;
    expect(second).toBeGreaterThanOrEqual(layout.rowsTop + 8 * layout.rowHeight);
    expect(layout.contentHeight).toBeGreaterThanOrEqual(second + layout.leafBottom);
  });

  it("mirrors the lanes when flipped, and not the scale", () => {
    const facing = boardLayout(landscape);
    const back = boardLayout({ ...landscape, flipped: true });
    expect(back.lanes.map(({ left }) => left)).toEqual(
      facing.lanes.map(({ left }) => left).reverse(),
    );
    expect(back.dots).toEqual(facing.dots);
  });

  it("puts the gutter on the far side for a left hand", () => {
    expect(boardLayout(landscape).gutter?.left).toBe(0);
    const left = boardLayout({ ...landscape, handed: "left" });
    expect(left.gutter?.left).toBeGreaterThan((left.lanes[2]?.left ?? 0) + 300);
  });
});
