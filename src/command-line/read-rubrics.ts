import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { checkedRubric } from "../belt-test/rubric/check.ts";
import { pathText } from "../belt-test/rubric/finding.ts";
import { Rubric } from "../belt-test/rubric/rubric.ts";
import rubricFindingsWords from "../words/en/rubric-findings.json" with { type: "json" };
import { sayIn } from "../words/say.ts";
import { readJson } from "./read-file.ts";
import { Trouble } from "./trouble.ts";

export const sayFinding = sayIn(rubricFindingsWords);

/** @throws Trouble with every fault; warnings are `check`'s business. */
function soundRubric(file: string): Rubric {
  const json = readJson(file);
  const { findings, rubric } = checkedRubric(json);
  if (rubric) return rubric;
  const faults = findings.filter(({ severity }) => severity === "fault");
  throw new Trouble(
    faults.map(({ code, path, with: values }) => ({
      say: "rubric-unsound",
      with: { finding: sayFinding(code, values) },
      file,
      path: pathText(path),
    })),
  );
}

/** Sound rubrics from files. @throws Trouble with every fault of the first that is none, and where two have one id. */
export function readRubrics(files: readonly string[]): Rubric[] {
  const rubrics: Rubric[] = [];
  for (const file of files) {
    const rubric = soundRubric(file);
    if (rubrics.some(({ id }) => id === rubric.id))
      throw new Trouble([{ say: "rubric-twice", file, path: "id", with: { id: rubric.id } }]);
    rubrics.push(rubric);
  }
  return rubrics;
}

export const DEFAULT_FOLDER = "scoring-rubrics";

/**
 * The rubrics of the folder a school keeps them in; what is no rubric there is passed over.
 * @throws Trouble with every fault of one that contradicts itself, as if it had been named: reckoned with, it would give results that nobody meant.
 */
export function rubricsNearby(folder: string): Rubric[] {
  const nearby = join(folder, DEFAULT_FOLDER);
  if (!existsSync(nearby)) return [];
  return readdirSync(nearby)
    .filter((name) => name.endsWith(".json"))
    .sort()
    .map((name) => join(nearby, name))
    .filter((file) => Rubric.safeParse(readJson(file)).success)
    .map(soundRubric);
}
