import { type Interval, meanInterval } from "./interval.ts";
import { type OddFound, oddities } from "./odd-judges.ts";
import type { Goal } from "./reached.ts";
import { withInterval } from "./tables.ts";

const percent = (values: Float64Array): Interval => {
  const { value, low, high } = meanInterval(values);
  return { value: 100 * value, low: 100 * low, high: 100 * high };
};
/** In percent, of `oddities` in their order. */
const ASKED = [100, 90, 75, 80] as const;

/** F6, in a complete panel of five. */
export function oddGoals(all: readonly OddFound[]): Goal[] {
  const five = all.find(({ design }) => design.name === "complete 5");
  if (!five) throw new Error("oddGoals: complete 5 was not simulated");
  const alarm = percent(five.falseAlarm);
  return [
    {
      goal: "F6 complete 5: any false alarm in a panel of ordinary judges",
      side: "≤",
      limit: 5,
      unit: "%",
      found: alarm,
    },
    ...oddities.map(
      ({ name }, at): Goal => ({
        goal: `F6 complete 5: found, one judge ${name}`,
        side: "≥",
        limit: ASKED[at] as number,
        unit: "%",
        found: percent(five.found.get(name) as Float64Array),
      }),
    ),
  ];
}

export function oddTable(all: readonly OddFound[]): string {
  const names = oddities.map(({ name }) => name);
  const rows = all.map(
    ({ design, candidates, replicates, falseAlarm, found }) =>
      `| ${design.name} | ${candidates} × ${replicates} | ${withInterval(percent(falseAlarm))} | ${names.map((name) => withInterval(percent(found.get(name) as Float64Array))).join(" | ")} |`,
  );
  return [
    `| design | candidates × days | false alarm in a panel, % | ${names.map((name) => `${name}, %`).join(" | ")} |`,
    `|---|---|---|${names.map(() => "---|").join("")}`,
    ...rows,
  ].join("\n");
}
