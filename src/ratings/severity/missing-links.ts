import type { JudgeScores } from "./judge-scores.ts";

/** One more judge to watch one more candidate, so that two groups of judges can be compared. */
export interface MissingLink {
  judge: number;
  candidate: number;
}

/** Candidates marked from both sides that make two groups as good as one: measured, see docs/fairness.md. */
export const LINKS_THAT_SERVE = 4;

/**
 * The fewest further pairs of judge and candidate that would link a panel whose judges cannot be compared.
 *
 * @param scores who marked whom. @returns one pair for each group but the largest: a judge of that group to watch a candidate of the largest, those who
 *   have the least to do first; none where the panel hangs together. One link makes comparing possible; `LINKS_THAT_SERVE` a group make it serve.
 *
 * Source: a forest of k trees needs k - 1 edges to be one; how many serve was measured in the fairness simulation.
 *
 * @example
 * missingLinks(judgeScores([{ judge: 0, candidate: 0, level: 3 }, { judge: 1, candidate: 1, level: 2 }])); // => [{ judge: 1, candidate: 0 }]
 */
export function missingLinks({ judge, candidate, groups }: JudgeScores): MissingLink[] {
  const works = new Map<number, number>();
  const watched = new Map<number, { group: number; times: number }>();
  const sizes = new Map<number, number>();
  for (let i = 0; i < judge.length; i++) {
    const [who, whom] = [judge[i] as number, candidate[i] as number];
    const group = groups[who] as number;
    works.set(who, (works.get(who) ?? 0) + 1);
    watched.set(whom, { group, times: (watched.get(whom)?.times ?? 0) + 1 });
    sizes.set(group, (sizes.get(group) ?? 0) + 1);
  }
  const byNeed = <T>(from: Iterable<T>, need: (one: T) => number, place: (one: T) => number) =>
    [...from].sort((a, b) => need(a) - need(b) || place(a) - place(b));
  const [largest, ...others] = byNeed(
    sizes.keys(),
    (group) => -(sizes.get(group) as number),
    (group) => group,
  );
  const whom = byNeed(
    [...watched].filter(([, { group }]) => group === largest),
    ([, { times }]) => times,
    ([place]) => place,
  );
  return others.map((group, at) => {
    const [who] = byNeed(
      [...works].filter(([one]) => groups[one] === group),
      ([, times]) => times,
      ([place]) => place,
    );
    // Another candidate for each group, while there are enough, so that nobody is stared at by everybody.
    return { judge: who?.[0] as number, candidate: whom[at % whom.length]?.[0] as number };
  });
}
