import type { PersonId } from "../../book/identity.ts";
import type { Asked, Part } from "../../ratings/certainty/asked.ts";
import { type CertaintyWord, certaintyWord } from "../../ratings/certainty/certainty-word.ts";
import { judgedChances } from "../../ratings/certainty/judged-chances.ts";
import type { KnownSeverity } from "../../ratings/severity/severities.ts";
import { toNumber } from "../exact/rational.ts";
import type { CandidateId, ItemId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { placeKey } from "../scorebook/cell.ts";
import { isAway } from "../scorebook/presence.ts";
import { isOpen } from "./is-open.ts";
import type { Outcome, Settlement } from "./outcome.ts";
import { type MarkedCandidate, panelMarks } from "./panel-marks.ts";
import { isStruck } from "./question-keys.ts";
import { type Weighing, weighing } from "./weighing.ts";

/** How sure a computed result is. */
export interface Certainty {
  /** Probability that the day's whole panel, freed of its noise, would pass this candidate, 0–1. */
  pass: number;
  /** The same of the result that was computed. */
  sure: number;
  word: CertaintyWord;
  /** Judges of this test who gave everybody the same mark: they are left out of it, and `withFlat` says what it would be with them. */
  flatJudges: readonly PersonId[];
  withFlat: { pass: number; sure: number; word: CertaintyWord } | null;
}

export type NoCertainty =
  /** Absent, unfit or withdrawn. */
  | "not-present"
  /** Some section's marks are still closed. */
  | "not-open"
  /** There is no result to be sure of. */
  | "incomplete"
  /** Nobody else marked in this test: nothing tells how far judges differ. */
  | "one-judge"
  /** Several judges, and no performance that two of them marked. */
  | "nothing-shared"
  /** Some part stands on no mark that stood at lock. */
  | "not-seen";

/** One candidate as certainty is reckoned: the marks at lock in open sections, and the outcome whose result it is about. */
export interface CertaintyCase extends MarkedCandidate {
  outcome: Outcome;
  excused: readonly ItemId[];
  settlements: readonly Settlement[];
}

/**
 * How sure every result of a test is.
 *
 * From the marks that stood at lock (re-marks change a verdict, not its certainty), less those that were struck. Checklists are taken as they stand: done is done.
 *
 * @param given everybody. @param known what was measured of judges beforehand, in levels.
 * @returns by candidate a certainty, or why there is none; never a guess.
 * Source: `passChances`; how honest it is: docs/fairness.md.
 */
export function panelCertainty(
  given: readonly CertaintyCase[],
  known: ReadonlyMap<PersonId, KnownSeverity> = new Map(),
): ReadonlyMap<CandidateId, Certainty | NoCertainty> {
  const found = new Map<CandidateId, Certainty | NoCertainty>();
  const usable: CertaintyCase[] = [];
  for (const one of given) {
    const reason = whyNone(one.outcome);
    if (reason) found.set(one.candidate, reason);
    // Who only ticked a checklist off is no judge to be compared with.
    const judged = new Set(
      one.rubric.sections.flatMap(({ id, marking }) => (marking === "checklist" ? [] : [id])),
    );
    usable.push({
      ...one,
      marks: one.marks.filter(
        (mark) => judged.has(mark.section) && !isStruck(mark, one.settlements),
      ),
    });
  }
  const { cells, judges, isRest } = panelMarks(usable);
  const none = reasonOfPanel(cells, judges.length);
  const asked = askedOf(usable);
  const perLevel = usable.map(({ rubric }) => 100 / (rubric.scale.levels.length - 1));
  const level = perLevel.reduce((sum, one) => sum + one, 0) / Math.max(1, perLevel.length);
  const chances = none
    ? null
    : judgedChances({
        marks: {
          ...cells,
          level: cells.level.map((value, i) => {
            const { rubric } = usable[cells.candidate[i] as number] as CertaintyCase;
            return rubric.scale.levels[value - 1]?.points as number;
          }),
        },
        candidates: asked,
        tapped: 1 - isRest.reduce((sum, one) => sum + one, 0) / Math.max(1, isRest.length),
        known: judges.map((judge) => {
          const its = known.get(judge);
          return its ? { severity: its.severity * level, sd: its.sd * level } : null;
        }),
      });
  const flatJudges = (chances?.flat ?? []).map((place) => judges[place] as PersonId);
  usable.forEach(({ candidate, outcome }, who) => {
    if (found.has(candidate)) return;
    const pass = chances?.chances[who];
    if (none || typeof pass !== "number") {
      found.set(candidate, none ?? "not-seen");
      return;
    }
    const withFlat = chances?.withFlat?.[who];
    found.set(candidate, {
      ...said(pass, outcome),
      flatJudges,
      withFlat: typeof withFlat === "number" ? said(withFlat, outcome) : null,
    });
  });
  return found;
}

function said(pass: number, { computed }: Outcome) {
  const sure = computed === "pass" ? pass : 1 - pass;
  return { pass, sure, word: certaintyWord(sure) };
}

function whyNone(outcome: Outcome): NoCertainty | null {
  if (isAway(outcome.presence)) return "not-present";
  if (!isOpen(outcome)) return "not-open";
  return outcome.computed === "incomplete" ? "incomplete" : null;
}

function reasonOfPanel(
  { candidate, cell, weights }: ReturnType<typeof panelMarks>["cells"],
  judges: number,
): NoCertainty | null {
  if (judges < 2) return "one-judge";
  const seen = new Set<number>();
  for (let i = 0; i < cell.length; i++)
    seen.add((candidate[i] as number) * weights.length + (cell[i] as number));
  // No judge marks a cell twice, so fewer places than marks means that two judges met somewhere.
  return seen.size === cell.length ? "nothing-shared" : null;
}

/** What each candidate has to reach; cells counted as `panelMarks` counts them: rubrics in the order they first come. */
function askedOf(given: readonly CertaintyCase[]): Asked[] {
  const firsts = new Map<Rubric, number>();
  const known = new Map<string, readonly Part[]>();
  let next = 0;
  return given.map(({ rubric, excused, outcome }) => {
    const whole = weighing(rubric);
    let first = firsts.get(rubric);
    if (first === undefined) {
      firsts.set(rubric, (first = next));
      next += whole.cells.length;
    }
    const its = weighing(rubric, excused);
    const key = `${first}/${[...excused].sort().join()}`;
    let parts = known.get(key);
    if (!parts) known.set(key, (parts = partsOf(its, whole, first)));
    const counting = its.sections.filter(({ from, to }) => from < to);
    const all = counting.reduce((sum, { weight }) => sum + Number(weight), 0);
    let [pass, isBarred] = [toNumber(its.pass.at), false];
    for (const { section, weight } of counting) {
      if (section.marking !== "checklist") continue;
      const stands = outcome.sections.find(({ id }) => id === section.id);
      pass -= (Number(weight) / all) * (stands?.score?.percent ?? 0);
      isBarred ||= stands?.unmet.length !== 0;
    }
    return { parts, pass, isBarred, combine: rubric.panel.combine };
  });
}

/** Sections first, then must-show items. */
function partsOf(its: Weighing, whole: Weighing, first: number): Part[] {
  const counting = its.sections.filter(({ from, to }) => from < to);
  const all = counting.reduce((sum, { weight }) => sum + Number(weight), 0);
  const marked = counting.filter(({ section }) => section.marking !== "checklist");
  const cellsOf = (places: readonly number[]) => {
    const weights = places.map((at) => Number((its.cells[at] as Weighing["cells"][number]).weight));
    const sum = weights.reduce((total, one) => total + one, 0);
    return {
      cells: Int32Array.from(
        places,
        (at) =>
          first +
          (whole.cellAt.get(
            placeKey((its.cells[at] as Weighing["cells"][number]).place),
          ) as number),
      ),
      weights: Float64Array.from(weights, (one) => one / sum),
    };
  };
  return [
    ...marked.map(
      ({ weight, lines: [floor] }): Part => ({
        ...cellsOf(floor.cells),
        floor: toNumber(floor.at),
        share: Number(weight) / all,
        within: null,
      }),
    ),
    ...marked.flatMap(({ lines: [, ...mustShows] }, within) =>
      mustShows.map(
        ({ cells, at }): Part => ({ ...cellsOf(cells), floor: toNumber(at), share: 0, within }),
      ),
    ),
  ];
}
