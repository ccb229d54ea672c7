import { writeFileSync } from "node:fs";
import { chanceFrom } from "../../../src/ratings/statistics/chance.ts";

/**
 * Invented panels, seeded, for regenerate.R to compute with R's lme4 and psych: `npx tsx tests/reference/statistics/make-panels.ts`.
 * They have the shapes of sets published with packages under the GNU licence, and none of their numbers.
 */
const shapes = [
  { name: "complete", seed: 11, size: [12, 4, 1, 1], missing: 0, step: 0.5, judgeSd: 0.4 },
  { name: "rotation", seed: 12, size: [20, 5, 1, 1], missing: 0.4, step: 0.5, judgeSd: 0.4 },
  { name: "no-severity", seed: 13, size: [15, 3, 1, 1], missing: 0.1, step: 1, judgeSd: 0 },
  { name: "items", seed: 14, size: [10, 3, 4, 3], missing: 0.25, step: 0.5, judgeSd: 0.4 },
  { name: "nested", seed: 15, size: [10, 4, 3, 1], missing: 0, step: 1, judgeSd: 0.5 },
] as const;
const models = [
  { panel: "complete", random: "candidate,judge", fixed: "" },
  { panel: "rotation", random: "candidate,judge", fixed: "" },
  { panel: "rotation", random: "judge", fixed: "candidate" },
  { panel: "no-severity", random: "candidate,judge", fixed: "" },
  { panel: "items", random: "candidate,judge,item,criterion", fixed: "" },
  { panel: "items", random: "candidate,judge,item:criterion,candidate:judge", fixed: "" },
  {
    panel: "items",
    random:
      "candidate,judge,item,criterion,candidate:judge,candidate:item,candidate:criterion,judge:item,judge:criterion,item:criterion",
    fixed: "",
  },
  {
    panel: "items",
    random: "candidate,judge,candidate:judge,candidate:criterion",
    fixed: "criterion",
  },
  { panel: "items", random: "judge,candidate:judge", fixed: "candidate,item,criterion" },
  { panel: "items", random: "candidate:judge", fixed: "item" },
  { panel: "nested", random: "candidate,item,item:judge,candidate:item", fixed: "" },
];

const panels = shapes.map(({ name, seed, size, missing, step, judgeSd }) => {
  const chance = chanceFrom(seed);
  const normal = () => Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
  const known = new Map<string, number>();
  const effect = (key: string, sd: number) => {
    const value = known.get(key) ?? normal() * sd;
    known.set(key, value);
    return value;
  };
  const [candidates, judges, items, criteria] = size;
  const rows: {
    candidate: string;
    judge: string;
    item: string;
    criterion: string;
    mark: number;
  }[] = [];
  for (let c = 1; c <= candidates; c++)
    for (let i = 1; i <= items; i++)
      for (let t = 1; t <= criteria; t++)
        for (let j = 1; j <= judges; j++) {
          const judge = name === "nested" ? `j${i}${j}` : `j${j}`;
          const exact =
            2.5 +
            effect(`c${c}`, 0.7) +
            effect(`judge ${judge}`, judgeSd) +
            effect(`i${i}`, 0.3) +
            effect(`t${t}`, 0.3) +
            effect(`c${c}${judge}`, 0.25) +
            effect(`c${c} i${i}`, 0.4) +
            effect(`c${c} t${t}`, 0.3) +
            normal() * 0.5;
          if (chance() < missing) continue;
          const mark = Math.round(exact / step) * step;
          rows.push({ candidate: `c${c + 10}`, judge, item: `i${i}`, criterion: `t${t}`, mark });
        }
  return { name, rows };
});
const text = JSON.stringify({ source: "invented by make-panels.ts", panels, models });
writeFileSync(new URL("panels.json", import.meta.url), `${text}\n`);
