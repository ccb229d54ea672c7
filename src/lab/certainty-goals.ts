import { calibrationError, foundAmongFirst, wrongAmongSure } from "./calibration.ts";
import { type Certain, pooled } from "./certain.ts";
import type { Goal } from "./reached.ts";
import { withInterval } from "./tables.ts";

/** A certainty is looked at twice: all verdicts, and those that are not clear. */
const NOT_CLEAR = 0.95;

/** F4: `own` the designs on half steps, `product` those with four levels marked by exception. */
export function certaintyGoals(own: readonly Certain[], product: readonly Certain[]): Goal[] {
  const heaps = [
    { name: `${own.length} designs together`, heap: pooled(own) },
    { name: `${product.length} designs with four levels together`, heap: pooled(product) },
  ];
  const worst = [...own, ...product]
    .map((one) => ({ one, unclear: calibrationError(one, NOT_CLEAR).error }))
    .reduce((a, b) => (b.unclear.low > a.unclear.low ? b : a));
  const atMostOne = { side: "≤", limit: 1, unit: "points" } as const;
  const single: Goal = {
    goal: `F4 worst single design (${worst.one.design.name}): calibration error below .95`,
    ...atMostOne,
    found: worst.unclear,
  };
  const together = heaps.flatMap(({ name, heap }): Goal[] => {
    const all = calibrationError(heap, Number.POSITIVE_INFINITY).error;
    const unclear = calibrationError(heap, NOT_CLEAR).error;
    const sure = wrongAmongSure(heap, NOT_CLEAR);
    return [
      { goal: `F4 ${name}: calibration error`, ...atMostOne, found: all },
      { goal: `F4 ${name}: the same, below .95`, ...atMostOne, found: unclear },
      { goal: `F4 ${name}: wrong among ≥ 95 % sure`, ...atMostOne, unit: "%", found: sure },
    ];
  });
  return [...together, single];
}

/** F5: wrong verdicts among the first tenth and fifth of the queue. */
export function queueGoals(all: readonly Certain[]): Goal[] {
  const asked = [
    { name: "complete 3", shares: [75, 92] },
    { name: "2 of 5, rotation", shares: [60, 88] },
    { name: "3 of 7, rotation", shares: [60, 88] },
  ];
  return asked.flatMap(({ name, shares }) => {
    const its = all.find(({ design }) => design.name === name);
    if (!its) throw new Error(`queueGoals: ${name} was not simulated`);
    return [0.1, 0.2].map(
      (share, at): Goal => ({
        goal: `F5 ${name}: wrong verdicts among the first ${100 * share} %`,
        side: "≥",
        limit: shares[at] as number,
        unit: "%",
        found: foundAmongFirst(its, share),
      }),
    );
  });
}

export function certaintyTable(all: readonly Certain[]): string {
  const head =
    "| design | candidates × days | calibration error (by chance alone) | below .95 (by chance alone) | share below .95 | wrong among ≥ 95 % sure | wrong verdicts in the first 10 / 20 % |";
  const rows = all.map((one) => {
    const whole = calibrationError(one, Number.POSITIVE_INFINITY);
    const unclear = calibrationError(one, NOT_CLEAR);
    const first = [0.1, 0.2].map((share) => foundAmongFirst(one, share).value.toFixed(0));
    return `| ${one.design.name} | ${one.candidates} × ${one.replicates} | ${withInterval(whole.error, 2)} (${whole.byChance.toFixed(2)}) | ${withInterval(unclear.error, 2)} (${unclear.byChance.toFixed(2)}) | ${(100 * unclear.share).toFixed(0)} % | ${withInterval(wrongAmongSure(one, NOT_CLEAR), 2)} | ${first.join(" / ")} |`;
  });
  return [head, "|---|---|---|---|---|---|---|", ...rows].join("\n");
}
