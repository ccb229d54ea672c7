import { LEVEL_PARTS } from "../../ratings/panel-mark.ts";
import { minus, type Rational, toNumber } from "../exact/rational.ts";
import { seenOf } from "./panel-cells.ts";
import type { Alternative, Posed, Reconciled } from "./question.ts";
import { retestRule } from "./retest-set.ts";
import { type Overruled, restated, type Seen, type Standing, standing } from "./standing.ts";

export interface Effect {
  effect: "could-change" | "no-effect";
  flips: boolean;
  swing: number;
}

/**
 * Whether settling each open question could change the verdict: pass, retest, incomplete, or the sections to repeat.
 *
 * Each question is tried alone, at the ends of what it could come to. Every rule of the verdict is "at least", so a higher mark never fails
 * what a lower one passes: what is the same at both ends is the same between them (for the choice of the sections to repeat the ends are a bound in practice,
 * not a proof). When no question alone turns the verdict, all are tried together at their lowest and at their highest;
 * if that changes the verdict, every question that moves a mark or overrules a result could change it. So a candidate with no such question left cannot be turned by any of the open ones.
 *
 * @param open questions the chief has not settled.
 * @returns one effect each, in the same order.
 */
export function effects(reconciled: Reconciled, open: readonly Posed[]): Effect[] {
  const alone = open.map(({ alternatives }) => effectOf(reconciled, alternatives));
  if (open.length < 2 || alone.some(({ flips }) => flips)) return alone;
  const together = effectOf(reconciled, envelope(reconciled, open));
  const isNews = together.flips || alone.every(({ effect }) => effect === "no-effect");
  if (together.effect === "no-effect" || !isNews) return alone;
  return alone.map((one, place) =>
    open[place]?.alternatives.some(({ cells, overruled }) => overruled || (cells && cells.size > 0))
      ? { ...together, swing: one.swing }
      : one,
  );
}

function effectOf(reconciled: Reconciled, alternatives: readonly Alternative[]): Effect {
  const now = reconciled.standing;
  let found: Effect = { effect: "no-effect", flips: false, swing: 0 };
  for (const { cells, overruled } of alternatives) {
    const then = tried(reconciled, cells, overruled);
    const flips = then.computed !== now.computed;
    const changes = flips || !isSame(then.retestSections, now.retestSections);
    found = {
      effect: changes ? "could-change" : found.effect,
      flips: flips || found.flips,
      swing: Math.max(found.swing, distance(then.total, now.total)),
    };
  }
  return found;
}

function tried(
  { weighing, cells, standing: now, from }: Reconciled,
  changed: ReadonlyMap<number, Seen> = new Map(),
  overruled: Overruled = {},
): Standing {
  const touched = new Set([...changed.keys()].map((at) => weighing.cells[at]?.section));
  const sections = now.sections.map((section, at) =>
    touched.has(at) ? restated(weighing, section, changed, (cell) => seenOf(cells[cell])) : section,
  );
  return standing(weighing, sections, retestRule(from), overruled);
}

/** Questions that bring marks into a cell which are not there now. */
const bringsMarks: readonly Posed["question"]["kind"][] = [
  "no-quorum",
  "unseen",
  "blank",
  "late",
  "conflict",
];

/**
 * All questions at once: every cell at the lowest, then at the highest, that they could make of it.
 * Where two questions meet in one cell they may do more than either alone: then anything between its judges' marks is possible,
 * and anything on the scale when one of them brings a mark. A cell whose every judge may be struck could be left unseen: the rest would then
 * stand for it, which is some value on the scale, and the verdict may become incomplete.
 */
function envelope({ cells, weighing }: Reconciled, open: readonly Posed[]): Alternative[] {
  const touched = new Map<number, { values: number[]; questions: number; isOpenEnded: boolean }>();
  for (const { question, alternatives } of open)
    for (const at of new Set(
      alternatives.flatMap(({ cells: changed }) => [...(changed?.keys() ?? [])]),
    )) {
      const its = touched.get(at) ?? { values: [], questions: 0, isOpenEnded: false };
      touched.set(at, its);
      its.questions++;
      its.isOpenEnded ||= bringsMarks.includes(question.kind);
      for (const { cells: changed } of alternatives) {
        const value = changed?.get(at);
        if (typeof value === "number") its.values.push(value);
      }
    }
  const [low, high, emptied] = [
    new Map<number, Seen>(),
    new Map<number, Seen>(),
    new Map<number, Seen>(),
  ];
  const strikable = new Set(
    open.flatMap(({ question: { kind, judges } }) =>
      kind === "relation" || kind === "lone-dissent" ? (judges ?? []) : [],
    ),
  );
  for (const [at, { values, questions, isOpenEnded }] of touched) {
    const now = seenOf(cells[at]);
    const all = now === null ? values : [...values, now];
    const mayBeEmptied = cells[at]?.judges.every((judge) => strikable.has(judge)) ?? false;
    if (mayBeEmptied) emptied.set(at, null);
    if (questions > 1 || mayBeEmptied)
      all.push(
        ...(isOpenEnded || mayBeEmptied
          ? [1, weighing.cells[at]?.top ?? 1]
          : (cells[at]?.levels ?? [])
        ).map((level) => level * LEVEL_PARTS),
      );
    if (all.length === 0) continue;
    low.set(at, Math.min(...all));
    high.set(at, Math.max(...all));
  }
  return [
    { cells: low, overruled: overruledTo(false, open) },
    { cells: high, overruled: overruledTo(true, open) },
    { cells: emptied },
  ];
}

/** Every overruling that goes the same way. */
function overruledTo(good: boolean, open: readonly Posed[]): Overruled {
  const all = open.flatMap(({ alternatives }) =>
    alternatives.flatMap(({ overruled }) => overruled ?? []),
  );
  const sectionsMet = new Map(
    all.flatMap(({ sectionsMet: some }) => [...(some ?? [])].filter(([, met]) => met === good)),
  );
  const isTotalOpen = all.some(({ totalPasses }) => totalPasses !== undefined);
  return { sectionsMet, ...(isTotalOpen ? { totalPasses: good } : {}) };
}

const isSame = (a: readonly string[], b: readonly string[]): boolean =>
  a.length === b.length && a.every((one, place) => one === b[place]);

const distance = (a: Rational | null, b: Rational | null): number =>
  a === null || b === null ? 0 : Math.abs(toNumber(minus(a, b)));
