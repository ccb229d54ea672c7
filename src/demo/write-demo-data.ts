import { writeFileSync } from "node:fs";
import type { AnyEntry } from "../book/entry.ts";
import { demoFiles } from "./demo-files.ts";
import { finishedTest } from "./finished-test.ts";
import { marksCsv } from "./marks-csv.ts";

// Run with `npm run demo-data` after a change of the scenario, the rubrics or the simulated judges.
const files = demoFiles();
const file = finishedTest(files);
const at = (name: string) => new URL(`../../demo-data/${name}`, import.meta.url);
writeFileSync(at("finished-test.json"), `${JSON.stringify(file)}\n`);
writeFileSync(at("finished-test-marks.csv"), marksCsv(file.entries as AnyEntry[]));
const roster = files.scenario.candidates.map(({ number, given, family, rubric, birthYear }) =>
  [number, given, family, number, rubric, birthYear].join(","),
);
writeFileSync(
  at("roster.csv"),
  `${["candidate,given,family,number,rubric,birth-year", ...roster].join("\n")}\n`,
);
