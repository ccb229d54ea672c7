import type { PersonId } from "../../book/identity.ts";
import type { Combining } from "../../ratings/combinings.ts";
import { LEVEL_PARTS, panelMark } from "../../ratings/panel-mark.ts";
import { toNumber } from "../exact/rational.ts";
import type { VerdictResult } from "../kinds/decision.ts";
import type { Place } from "../scorebook/cell.ts";
import type { CandidateCase } from "./outcome.ts";
import type { PanelCell } from "./panel-cells.ts";
import { reconciled, standingAt } from "./reconciled.ts";
import type { Standing } from "./standing.ts";
import { pointsAt, type WeighedSection, type Weighing } from "./weighing.ts";

/** One judge's mark, moved. */
interface MovedMark extends Place {
  judge: PersonId;
  from: number;
  to: number;
}

/** The fewest moves of marks by one level that would turn a result. */
export interface SmallestChange {
  to: VerdictResult;
  /** How many moves of one mark by one level. */
  moves: number;
  /** Marks that would do it: the heaviest, then by place and judge. */
  marks: readonly MovedMark[];
  /** Any so many moves in that direction would do, whoever's they are. */
  isAny: boolean;
  /** No fewer can. False: there may be a way with fewer, but not with fewer than `atLeast`. */
  isExact: boolean;
  atLeast: number;
}

/** One mark, one level up or down. */
interface Move {
  cell: number;
  /** Place of the judge in the cell. */
  mark: number;
  /** The first, second … move of this mark. */
  turn: number;
  /** In percent of the section: about what it does, and the most it could. */
  effect: number;
  most: number;
}
/** So that the last binary digit decides nothing; real differences are far larger. */
const HAIR = 1e-9;

/**
 * The fewest marks that would have to be one level higher or lower for the result to be another.
 *
 * A passing candidate fails when any one line is broken: each floor, must-show and the pass mark is tried with its heaviest marks. A failing one passes when all lines are
 * met: must-shows first, then floors, then the total, each by the heaviest marks left. What is found is tried with the exact arithmetic, so it always turns the result.
 * That fewer cannot is proven by a bound: each move counted at the most it could ever do. Both agree for means on an even scale; else `isExact` says whether they did.
 *
 * @param from the case of a candidate, as for `outcome`. @returns null where the result is incomplete, or where no marks of these judges could turn it.
 * Source: greedy choice is best for a single line with gains that add up (Dantzig 1957, doi:10.1287/opre.5.2.266, for the bound); checked against trying everything in the tests.
 */
export function smallestChange(from: CandidateCase): SmallestChange | null {
  const { weighing, cells, standing: now } = reconciled(from);
  const tried = (moves: readonly Move[], by: 1 | -1) => result(from, weighing, cells, moves, by);
  if (now.computed === "incomplete") return null;
  const by = now.computed === "pass" ? -1 : 1;
  const moves = movesOf(weighing, cells, by, from.rubric.panel.combine);
  const found =
    by === -1
      ? broken(weighing, now, moves, cells, (some) => tried(some, by).computed === "retest")
      : mended(weighing, now, moves, (some) => tried(some, by));
  if (found === null) return null;
  const total = byWeight(moves, (move) => shareOf(weighing, move.cell));
  const lightest = total.slice(-found.chosen.length).reverse();
  return {
    to: by === -1 ? "retest" : "pass",
    moves: found.chosen.length,
    marks: moved(weighing, cells, found.chosen, by),
    // Levels of one mark come in turn: the lightest moves are only the worst case where each mark's moves weigh the same.
    isAny: tried(inTurn(lightest), by).computed !== now.computed,
    isExact: found.atLeast >= found.chosen.length,
    atLeast: Math.min(found.atLeast, found.chosen.length),
  };
}

type Found = { chosen: Move[]; atLeast: number } | null;

/** The cheapest line to break. */
function broken(
  weighing: Weighing,
  { total, sections }: Standing,
  moves: readonly Move[],
  panel: readonly PanelCell[],
  fails: (moves: readonly Move[]) => boolean,
): Found {
  let found: Found = null;
  const { at, isPassing } = weighing.pass;
  const slack = total ? toNumber(total) - toNumber(at) : 0;
  const lines = [
    {
      own: byWeight(moves, ({ cell }) => shareOf(weighing, cell)),
      weight: (cell: number) => shareOf(weighing, cell),
      need: isPassing ? slack + HAIR : slack - HAIR,
    },
    ...sections.flatMap(({ section, score, isExcused }) => {
      if (isExcused || score === null) return [];
      return section.lines.map(({ item, at, cells }) => {
        const its = moves.filter(({ cell }) => cells.includes(cell));
        const stands =
          item === null
            ? { score: toNumber(score), scale: 1 }
            : itemAt(weighing, section, cells, panel);
        return {
          own: byWeight(its, () => 1),
          weight: () => stands.scale,
          need: stands.score - toNumber(at) + HAIR,
        };
      });
    }),
  ];
  let atLeast = Number.POSITIVE_INFINITY;
  for (const { own, weight, need } of lines) {
    atLeast = Math.min(atLeast, count(own, weight, need));
    const chosen = fewest(own, fails, found?.chosen.length ?? own.length + 1);
    if (chosen) found = { chosen, atLeast };
  }
  return found && { ...found, atLeast };
}

/** All lines met. */
function mended(
  weighing: Weighing,
  now: Standing,
  moves: readonly Move[],
  tried: (moves: readonly Move[]) => Standing,
): Found {
  const chosen: Move[] = [];
  let atLeast = 0;
  const taken = new Set<Move>();
  const take = (some: readonly Move[]) => {
    for (const one of some) taken.add(one);
    chosen.push(...some);
  };
  for (const [place, { section, unmet, isExcused, score }] of now.sections.entries()) {
    if (unmet.length === 0 || isExcused || score === null) continue;
    const state = (some: readonly Move[]) => tried([...chosen, ...some]).sections[place];
    const [floor, ...mustShows] = section.lines;
    let least = count(
      byWeight(
        moves.filter(({ cell }) => cell >= section.from && cell < section.to),
        () => 1,
      ),
      () => 1,
      toNumber(floor.at) - toNumber(score) - HAIR,
    );
    for (const { item, cells } of mustShows) {
      const its = byWeight(
        moves.filter((move) => cells.includes(move.cell) && !taken.has(move)),
        () => 1,
      );
      const isShown = (some: readonly Move[]) =>
        !state(some)?.unmet.some((one) => one.item === item);
      if (isShown([])) continue;
      least = Math.max(least, 1);
      const some = fewest(its, isShown, its.length + 1);
      if (!some) return null;
      take(some);
    }
    const rest = byWeight(
      moves.filter(
        (move) => move.cell >= section.from && move.cell < section.to && !taken.has(move),
      ),
      () => 1,
    );
    const some =
      state([])?.unmet.length === 0
        ? []
        : fewest(rest, (more) => state(more)?.unmet.length === 0, rest.length + 1);
    if (!some) return null;
    take(some);
    atLeast += least;
  }
  if (tried(chosen).computed !== "pass") {
    const rest = byWeight(
      moves.filter((move) => !taken.has(move)),
      ({ cell }) => shareOf(weighing, cell),
    );
    const some = fewest(
      rest,
      (more) => tried([...chosen, ...more]).computed === "pass",
      rest.length + 1,
    );
    if (!some) return null;
    take(some);
  }
  return { chosen, atLeast: Math.max(atLeast, jointly(weighing, now, moves)) };
}

/** The least that floors and total can need together, each move counted at its most: sections take what their floors need, the total takes the heaviest of the rest. */
function jointly(weighing: Weighing, now: Standing, moves: readonly Move[]): number {
  const { at, isPassing } = weighing.pass;
  let need = toNumber(at) - (now.total ? toNumber(now.total) : 0) + (isPassing ? -HAIR : HAIR);
  let forced = 0;
  const rest: Move[] = [];
  const weight = ({ cell }: Move) => shareOf(weighing, cell);
  for (const { section, unmet, isExcused, score } of now.sections) {
    const own = byWeight(
      moves.filter(({ cell }) => cell >= section.from && cell < section.to),
      () => 1,
    );
    const least =
      unmet.length === 0 || isExcused || score === null
        ? 0
        : Math.min(
            own.length,
            count(own, () => 1, toNumber(section.lines[0].at) - toNumber(score) - HAIR),
          );
    forced += least;
    for (const move of own.slice(0, least)) need -= weight(move) * move.most;
    rest.push(...own.slice(least));
  }
  const more = count(
    byWeight(rest, (cell) => weight(cell)),
    (cell) => shareOf(weighing, cell),
    need,
  );
  return forced + more;
}

/** How many moves it takes at the least, each at its most. Infinity where all together fall short. */
function count(sorted: readonly Move[], weight: (cell: number) => number, need: number): number {
  const most = sorted.map((move) => weight(move.cell) * move.most).sort((a, b) => b - a);
  let [sum, used] = [0, 0];
  while (sum < need) {
    if (used === most.length) return Number.POSITIVE_INFINITY;
    sum += most[used++] as number;
  }
  return used;
}

/** The shortest beginning of a list that does it, by halving: more never undoes what fewer did. Null where none shorter than `below` does. */
function fewest(
  sorted: readonly Move[],
  does: (moves: readonly Move[]) => boolean,
  below: number,
): Move[] | null {
  let [low, high] = [1, Math.min(sorted.length, below - 1)];
  if (high < 1 || !does(sorted.slice(0, high))) return null;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (does(sorted.slice(0, middle))) high = middle;
    else low = middle + 1;
  }
  return sorted.slice(0, low);
}

const byWeight = (moves: readonly Move[], weight: (move: Move) => number): Move[] =>
  inTurn(
    [...moves].sort(
      (a, b) =>
        weight(b) * b.effect - weight(a) * a.effect ||
        a.cell - b.cell ||
        a.mark - b.mark ||
        a.turn - b.turn,
    ),
  );

/** The same marks as often, their moves renumbered so that a mark's first move comes first. */
function inTurn(moves: readonly Move[]): Move[] {
  const turns = new Map<string, Move[]>();
  for (const move of moves) {
    const key = `${move.cell}/${move.mark}`;
    const its = turns.get(key);
    if (its) its.push(move);
    else turns.set(key, [move]);
  }
  for (const its of turns.values()) its.sort((a, b) => a.turn - b.turn);
  return moves.map(({ cell, mark }) => turns.get(`${cell}/${mark}`)?.shift() as Move);
}

/** Every move there is, one mark and one level at a time. */
function movesOf(
  { cells: weighed, sections, pointParts }: Weighing,
  cells: readonly PanelCell[],
  by: 1 | -1,
  rule: Combining,
): Move[] {
  return cells.flatMap(({ levels }, cell) => {
    const { section, weight, top } = weighed[cell] as Weighing["cells"][number];
    const { ladder, from, to } = sections[section] as WeighedSection;
    let seen = 0;
    for (let at = from; at < to; at++)
      if (cells[at]?.combined) seen += Number((weighed[at] as { weight: bigint }).weight);
    const points = (level: number) => Number(ladder[level - 1]) / Number(pointParts);
    const share = Number(weight) / seen;
    const steepest = Math.max(
      ...Array.from({ length: top - 1 }, (_, at) => points(at + 2) - points(at + 1)),
    );
    const judges = sharing(rule, levels.length);
    return levels.flatMap((level, mark) => {
      const room = by === 1 ? top - level : level - 1;
      return Array.from({ length: room }, (_, turn): Move => {
        const here = level + by * turn;
        return {
          cell,
          mark,
          turn,
          effect: (share * Math.abs(points(here + by) - points(here))) / levels.length,
          most: (share * steepest) / judges,
        };
      });
    });
  });
}

/** How many judges share in the panel mark, so that one mark moves it by no more than one part of so many. */
function sharing(rule: Combining, count: number): number {
  switch (rule) {
    case "mean":
      return count;
    case "drop-high-low":
      return Math.max(1, count - 2);
    case "median":
    case "robust":
      return 1;
    default:
      throw new RangeError(`sharing: “${rule satisfies never}” is no rule`);
  }
}

/** What the section of a cell weighs in the total, 0–1. */
function shareOf({ cells, sections }: Weighing, cell: number): number {
  const counting = sections.filter(({ from, to }) => from < to);
  const all = counting.reduce((sum, { weight }) => sum + weight, 0n);
  const { section } = cells[cell] as Weighing["cells"][number];
  return Number((sections[section] as WeighedSection).weight) / Number(all);
}

/** What a must-show item comes to in percent, and how many percent of it one percent of its section is. */
function itemAt(
  weighing: Weighing,
  { from, to, ladder }: WeighedSection,
  its: readonly number[],
  panel: readonly PanelCell[],
): { score: number; scale: number } {
  let [section, item, points] = [0, 0, 0];
  for (let at = from; at < to; at++) {
    const parts = panel[at]?.combined?.parts;
    if (parts === undefined) continue;
    const weight = Number((weighing.cells[at] as Weighing["cells"][number]).weight);
    section += weight;
    if (!its.includes(at)) continue;
    item += weight;
    points +=
      (weight * Number(pointsAt(ladder, parts))) / LEVEL_PARTS / Number(weighing.pointParts);
  }
  return item === 0 ? { score: 0, scale: 0 } : { score: points / item, scale: section / item };
}

function result(
  from: CandidateCase,
  weighing: Weighing,
  cells: readonly PanelCell[],
  moves: readonly Move[],
  by: 1 | -1,
): Standing {
  const changed = new Map<number, number[]>();
  for (const { cell, mark } of moves) {
    let levels = changed.get(cell);
    if (!levels) changed.set(cell, (levels = [...(cells[cell] as PanelCell).levels]));
    levels[mark] = (levels[mark] as number) + by;
  }
  const seenAt = (cell: number) => {
    const levels = changed.get(cell);
    return levels
      ? panelMark(levels, from.rubric.panel.combine).parts
      : ((cells[cell] as PanelCell).combined?.parts ?? null);
  };
  return standingAt(from, weighing, seenAt);
}

function moved(
  weighing: Weighing,
  cells: readonly PanelCell[],
  moves: readonly Move[],
  by: 1 | -1,
): MovedMark[] {
  const found = new Map<string, MovedMark>();
  for (const { cell, mark } of moves) {
    const key = `${cell}/${mark}`;
    const its = found.get(key);
    if (its) {
      its.to += by;
      continue;
    }
    const { judges, levels } = cells[cell] as PanelCell;
    const level = levels[mark] as number;
    found.set(key, {
      ...(weighing.cells[cell] as Weighing["cells"][number]).place,
      judge: judges[mark] as PersonId,
      from: level,
      to: level + by,
    });
  }
  return [...found.values()];
}
