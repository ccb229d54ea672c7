import type { Factor } from "./term.ts";

/**
 * Which judges can be compared: a number for each group that no candidate links to another.
 *
 * @param judges @param candidates who gave each mark, and to whom.
 * @returns one number for each judge, 0 for the first group; all 0 when the panel hangs together. A judge without marks is a group alone.
 * Source: Weeks & Williams 1964, doi:10.1080/00401706.1964.10490190 (connectedness of a two-way table).
 *
 * @example
 * const factor = (levels, ...codes) => ({ levels, codes: Int32Array.from(codes) });
 * judgeGroups(factor(3, 0, 1, 2), factor(2, 0, 0, 1)); // => [0, 0, 1]
 */
export function judgeGroups(judges: Factor, candidates: Factor): number[] {
  const parent = Int32Array.from({ length: judges.levels + candidates.levels }, (_, i) => i);
  const root = (at: number): number => {
    let here = at;
    while (parent[here] !== here) here = parent[here] = parent[parent[here] as number] as number;
    return here;
  };
  for (let i = 0; i < judges.codes.length; i++)
    parent[root(judges.codes[i] as number)] = root(judges.levels + (candidates.codes[i] as number));
  const numbers = new Map<number, number>();
  return Array.from({ length: judges.levels }, (_, judge) => {
    const group = root(judge);
    const known = numbers.get(group) ?? numbers.size;
    numbers.set(group, known);
    return known;
  });
}
