import { compared, type Rational } from "../exact/rational.ts";
import { weightedTotal } from "../exact/weighted-total.ts";
import type { SectionId } from "../identity.ts";
import { type PassLine, passes } from "../rubric/pass-line.ts";
import type { Rubric } from "../rubric/rubric.ts";
import type { Rules } from "../scorebook/rules.ts";
import { fewestFurther } from "./fewest-further.ts";
import type { CandidateCase, Outcome } from "./outcome.ts";

/** By which rules the sections of a retest are found. */
export interface RetestRule {
  scope: Rubric["retest"]["scope"];
  rules: Rules;
}

export const retestRule = ({
  rubric,
  rules,
}: Pick<CandidateCase, "rubric" | "rules">): RetestRule => ({
  scope: rubric.retest.scope,
  rules,
});

/** A section that counts for a candidate. Scores in percent. */
export interface Repeatable {
  score: Rational;
  /** Percent at *Meets*; a checklist's is 100. */
  meets: Rational;
  weight: bigint;
  /** Below its floor, or a must-show is not met. */
  isFailing: boolean;
}

/**
 * Which sections somebody repeats who has not passed: those below a floor or with an unmet must-show and, if the total with those at *Meets* still fails,
 * the fewest further ones that at *Meets* pass it. *At Meets* never takes away: it is the higher of the score and *Meets*.
 * Of equally few the smallest sum of scores, then the rubric's order. Where not even all are enough: all below *Meets*.
 *
 * @param sections that count, in the rubric's order. @param isShort the total fails, whatever it comes to: then at least one is repeated.
 * @returns places in `sections`, rising; never empty where there is a section.
 * By rules 1 (books from before 2026-11-28): those failing; only where there are none, the lowest first until the total would pass.
 */
export function retestSet(
  sections: readonly Repeatable[],
  pass: PassLine,
  { scope, rules }: RetestRule,
  isShort: boolean,
): number[] {
  const all = sections.map((_, place) => place);
  if (scope === "whole") return all;
  const failing = all.filter((place) => sections[place]?.isFailing);
  const below = all.filter((place) => isBelow(sections[place] as Repeatable));
  const isEnough = (repeated: readonly number[]): boolean => {
    const total = weightedTotal(
      sections.map((one, place) =>
        repeated.includes(place) && isBelow(one) ? { ...one, score: one.meets } : one,
      ),
    );
    return total !== null && passes(total, pass);
  };

  if (rules === 1) {
    if (failing.length > 0) return failing;
    const found = lowestFirst(sections, below, isEnough);
    return found.length > 0 ? found : all;
  }
  if (!isShort || (failing.length > 0 && isEnough(failing))) return failing;
  const further = below.filter((place) => !failing.includes(place));
  const chosen = fewest(sections, failing, further, pass);
  const found = inOrder([...failing, ...(chosen ?? further)]);
  return found.length > 0 ? found : all;
}

/** What the chief is offered to have repeated: what is computed; where that is no retest, the sections that are not met. */
export const offeredRepeat = ({
  retestSections,
  sections,
}: Pick<Outcome, "retestSections" | "sections">): SectionId[] =>
  retestSections.length > 0
    ? [...retestSections]
    : sections.flatMap(({ id, unmet, isExcused }) => (unmet.length === 0 || isExcused ? [] : [id]));

const isBelow = ({ score, meets }: Repeatable): boolean => compared(score, meets) < 0;
const inOrder = (places: readonly number[]): number[] => [...places].sort((a, b) => a - b);

/** The further sections, over one denominator so that sums are whole. At least one: the total is said to fail. */
function fewest(
  sections: readonly Repeatable[],
  failing: readonly number[],
  further: readonly number[],
  pass: PassLine,
): number[] | null {
  const denominator = sections.reduce((all, { score, meets }) => all * score.d * meets.d, 1n);
  const whole = ({ n, d }: Rational) => (n * denominator) / d;
  const weights = sections.reduce((all, { weight }) => all + weight, 0n);
  const now = sections.reduce((all, one, place) => {
    const isRaised = failing.includes(place) && isBelow(one);
    return all + one.weight * whole(isRaised ? one.meets : one.score);
  }, 0n);
  const found = fewestFurther(
    further.map((place) => {
      const { score, meets, weight } = sections[place] as Repeatable;
      return { gain: weight * (whole(meets) - whole(score)), score: whole(score) };
    }),
    (gain) =>
      (gain > 0n || failing.length > 0) &&
      passes({ n: now + gain, d: denominator * weights }, pass),
  );
  return found?.map((place) => further[place] as number) ?? null;
}

/** The old rule: the lowest first, until the total would pass; all of them where that is not enough. */
function lowestFirst(
  sections: readonly Repeatable[],
  below: readonly number[],
  isEnough: (repeated: readonly number[]) => boolean,
): number[] {
  const sorted = [...below].sort((a, b) =>
    compared((sections[a] as Repeatable).score, (sections[b] as Repeatable).score),
  );
  for (let count = 1; count < sorted.length; count++)
    if (isEnough(sorted.slice(0, count))) return inOrder(sorted.slice(0, count));
  return inOrder(sorted);
}
