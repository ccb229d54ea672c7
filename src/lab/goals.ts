import { differenceInterval, type Interval, meanInterval, ratioInterval } from "./interval.ts";
import type { Judged } from "./judged.ts";
import type { Goal } from "./reached.ts";

const percent = ({ value, low, high }: Interval): Interval => ({
  value: 100 * value,
  low: 100 * low,
  high: 100 * high,
});
const atMost = (goal: string, limit: number, found: Interval, unit: Goal["unit"]): Goal => ({
  goal,
  side: "≤",
  limit,
  unit,
  found,
});
const minus = (a: Float64Array, b: Float64Array) => a.map((value, i) => value - (b[i] as number));

/** F1–F3, from panels of thirty and whatever else was simulated. */
export function severityGoals(all: readonly Judged[]): Goal[] {
  const of30 = (name: string) => {
    const found = all.find(({ design, candidates }) => design.name === name && candidates === 30);
    if (!found) throw new Error(`severityGoals: ${name} was not simulated`);
    return found;
  };
  const rotations = [
    { name: "2 of 5, rotation", limit: 5.2, known: 5.2 },
    { name: "3 of 7, rotation", limit: 3.9, known: null },
  ];
  const first = rotations.flatMap(({ name, limit }) => {
    const { plain, adjusted, oracle } = of30(name).wrong.panel;
    const closed = percent(ratioInterval(minus(plain, adjusted), minus(plain, oracle)));
    return [
      {
        goal: `F1 ${name}: share of the gap to the oracle closed`,
        side: "≥" as const,
        limit: 80,
        unit: "%" as const,
        found: closed,
      },
      atMost(`F1 ${name}: wrong`, limit, percent(meanInterval(adjusted)), "%"),
    ];
  });
  const second = [
    { name: "complete 3", limit: 4.8 },
    { name: "2 of 5, rotation", limit: 5.2 },
  ].map(({ name, limit }) =>
    atMost(
      `F2 ${name}: wrong, severities known to sd .15`,
      limit,
      percent(meanInterval(of30(name).wrong.absolute.known)),
      "%",
    ),
  );
  return [...first, ...second, ...worstHarm(all)];
}

/** F3: of all designs and sizes, the one where adjusting did worst against the plain mean. */
function worstHarm(all: readonly Judged[]): Goal[] {
  return (["adjusted", "known"] as const).flatMap((by) =>
    (["absolute", "panel"] as const).map((truth) => {
      const each = all.map((one) => ({
        one,
        harm: percent(differenceInterval(one.wrong[truth][by], one.wrong[truth].plain)),
      }));
      const worst = each.reduce((a, b) => (b.harm.value > a.harm.value ? b : a));
      const { design, candidates } = worst.one;
      return atMost(
        `F3 worst of ${all.length} (${design.name}, ${candidates} candidates): ${by} minus plain, ${truth} truth`,
        0.3,
        worst.harm,
        "points",
      );
    }),
  );
}
