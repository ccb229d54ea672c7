import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { type Certain, certain } from "./certain.ts";
import { certaintyGoals, certaintyTable, queueGoals } from "./certainty-goals.ts";
import {
  complete3,
  type Design,
  linkedDesigns,
  mainDesigns,
  oddDesigns,
  productDesigns,
  rotation2of5,
} from "./designs.ts";
import { severityGoals } from "./goals.ts";
import { type Judged, judged } from "./judged.ts";
import { oddGoals, oddTable } from "./odd-goals.ts";
import { oddFound } from "./odd-judges.ts";
import { closerLookTable, goalTable, leftOutTable, wrongTable } from "./tables.ts";

/** Other seeds, other days: change it and the table tells the same story in other last digits. */
const SEED = 20_261_125;
const sizes = [
  { candidates: 30, replicates: 400 },
  { candidates: 12, replicates: 800 },
  { candidates: 60, replicates: 300 },
];

/** `npm run fairness`: plays some tens of thousands of made-up tests, prints the goals and what was reached, and writes the tables into docs/fairness.md. */
function main(): void {
  const started = process.cpuUsage();
  const runs: Judged[] = [];
  const run = (...given: Parameters<typeof judged>) => {
    const found = judged(...given);
    runs.push(found);
    process.stderr.write(`${found.design.name}, ${found.candidates} candidates\n`);
  };
  for (const design of [...mainDesigns, ...linkedDesigns, ...oddDesigns, ...productDesigns])
    run(design, 30, 400, SEED);
  for (const { candidates, replicates } of sizes.slice(1))
    for (const design of mainDesigns) run(design, candidates, replicates, SEED);
  for (const design of [complete3, rotation2of5]) run(design, 6, 1600, SEED);

  const sure = (designs: readonly Design[], candidates: number, replicates: number): Certain[] =>
    designs.map((design) => {
      process.stderr.write(`certainty: ${design.name}, ${candidates} candidates\n`);
      return certain(design, candidates, replicates, SEED);
    });
  const own = sure(mainDesigns, 30, 1000);
  const product = sure(productDesigns, 30, 1000);
  const others = [
    ...sure(oddDesigns, 30, 300),
    ...sure(mainDesigns, 12, 600),
    ...sure([complete3, rotation2of5], 6, 1200),
    ...sure([complete3, rotation2of5], 60, 300),
  ];

  const odd = [...mainDesigns, ...productDesigns].map((design) => {
    process.stderr.write(`odd judges: ${design.name}\n`);
    return oddFound(design, 30, 300, SEED);
  });

  const goals = [
    ...severityGoals(runs),
    ...certaintyGoals(own, product),
    ...queueGoals(own),
    ...oddGoals(odd),
  ];
  const text = [
    goalTable(goals),
    "",
    wrongTable(runs),
    "",
    leftOutTable(runs),
    "",
    closerLookTable(runs),
    "",
    certaintyTable([...own, ...product, ...others]),
    "",
    oddTable(odd),
    "",
    `Seed ${SEED}; ${Math.round(process.cpuUsage(started).user / 1e6)} seconds of one processor.`,
  ].join("\n");
  process.stdout.write(`${text}\n`);
  writeBetweenMarkers(fileURLToPath(new URL("../../docs/fairness.md", import.meta.url)), text);
}

function writeBetweenMarkers(path: string, text: string): void {
  const page = readFileSync(path, "utf8");
  const [begin, end] = ["<!-- npm run fairness: begin -->", "<!-- npm run fairness: end -->"];
  const [from, to] = [page.indexOf(begin), page.indexOf(end)];
  if (from < 0 || to < from) throw new Error(`fairness: ${path} has lost its markers`);
  writeFileSync(path, `${page.slice(0, from + begin.length)}\n\n${text}\n\n${page.slice(to)}`);
}

main();
