import { differenceInterval, type Interval, meanInterval } from "./interval.ts";
import type { Judged } from "./judged.ts";
import { type Goal, reached } from "./reached.ts";

const digits = (value: number, places = 1): string =>
  value.toFixed(places).replace(/^-(0\.0*)$/, "$1");
export const withInterval = ({ value, low, high }: Interval, places = 1): string =>
  `${digits(value, places)} (${digits(low, places)} to ${digits(high, places)})`;
const share = (values: Float64Array): string => digits(100 * meanInterval(values).value);
const points = ({ value, low, high }: Interval): Interval => ({
  value: 100 * value,
  low: 100 * low,
  high: 100 * high,
});

/** Wrong verdicts in percent, absolute / panel, and what adjusting changes. */
export function wrongTable(all: readonly Judged[]): string {
  const head =
    "| design | candidates × days | plain mean | adjusted | adjusted, severities known | oracle | adjusted − plain, panel truth |";
  const rows = all.map(({ design, candidates, replicates, wrong: { absolute, panel } }) => {
    const both = (by: "plain" | "adjusted" | "known" | "oracle") =>
      `${share(absolute[by])} / ${share(panel[by])}`;
    const change = points(differenceInterval(panel.adjusted, panel.plain));
    return `| ${design.name} | ${candidates} × ${replicates} | ${both("plain")} | ${both("adjusted")} | ${both("known")} | ${both("oracle")} | ${withInterval(change, 2)} |`;
  });
  return [head, "|---|---|---|---|---|---|---|", ...rows].join("\n");
}

export function goalTable(all: readonly Goal[]): string {
  return [
    "| goal | asked | found (95 % interval) | reached |",
    "|---|---|---|---|",
    ...all.map((one) => {
      const { goal, side, limit, unit, found } = one;
      const word = reached(one) === "no" ? "**no**" : reached(one);
      return `| ${goal} | ${side} ${limit} ${unit} | ${withInterval(found, 2)} | ${word} |`;
    }),
  ].join("\n");
}

/** Designs with a judge who gives everybody the same mark: what leaving that judge out would do. */
export function leftOutTable(all: readonly Judged[]): string {
  const rows = all
    .filter(({ design }) => design.flatJudge !== null)
    .map(
      ({ design, candidates, wrong: { absolute, panel } }) =>
        `| ${design.name}, ${candidates} candidates | ${share(absolute.plain)} / ${share(panel.plain)} | ${share(absolute["left-out"])} / ${share(panel["left-out"])} |`,
    );
  return ["| design | plain mean | plain mean without that judge |", "|---|---|---|", ...rows].join(
    "\n",
  );
}

/** Where exceptions are tapped and the rest confirmed: severities known from anchors marked as the floor is, from anchors looked at more closely by all, and from anchors whose agreed marks alone were looked at more closely. Absolute truth, against the plain mean. */
export function closerLookTable(all: readonly Judged[]): string {
  const rows = all
    .filter(({ design: { instrument } }) => instrument.kind === "four-levels")
    .map(({ design, wrong: { absolute } }) => {
      const change = (by: "closer-look" | "unlike-eyes") =>
        withInterval(points(differenceInterval(absolute[by], absolute.plain)), 2);
      return `| ${design.name} | ${share(absolute.plain)} | ${share(absolute.known)} | ${change("closer-look")} | ${change("unlike-eyes")} |`;
    });
  return [
    "| design | plain mean | anchors marked and agreed as the floor is | both more closely: change | agreed closely, marked as the floor: change |",
    "|---|---|---|---|---|",
    ...rows,
  ].join("\n");
}
