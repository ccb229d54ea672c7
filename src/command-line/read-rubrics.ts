import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { rubricFindings } from "../belt-test/rubric/check.ts";
import { pathText } from "../belt-test/rubric/finding.ts";
import { Rubric } from "../belt-test/rubric/rubric.ts";
import rubricFindingsWords from "../words/en/rubric-findings.json" with { type: "json" };
import { sayIn } from "../words/say.ts";
import { readJson } from "./read-file.ts";
import { Trouble } from "./trouble.ts";

export const sayFinding = sayIn(rubricFindingsWords);

/** Sound rubrics from files. @throws Trouble with every fault of every file; warnings are `check`'s business. */
export function readRubrics(files: readonly string[]): Rubric[] {
  const rubrics: Rubric[] = [];
  for (const file of files) {
    const json = readJson(file);
    const faults = rubricFindings(json).filter(({ severity }) => severity === "fault");
    if (faults.length > 0)
      throw new Trouble(
        faults.map(({ code, path, with: values }) => ({
          say: "rubric-unsound",
          with: { finding: sayFinding(code, values) },
          file,
          path: pathText(path),
        })),
      );
    const rubric = Rubric.parse(json);
    if (rubrics.some(({ id }) => id === rubric.id))
      throw new Trouble([{ say: "rubric-twice", file, path: "id", with: { id: rubric.id } }]);
    rubrics.push(rubric);
  }
  return rubrics;
}

export const DEFAULT_FOLDER = "scoring-rubrics";

/** The sound rubrics of the folder a school keeps them in; other files there are passed over. */
export function rubricsNearby(folder: string): Rubric[] {
  const nearby = join(folder, DEFAULT_FOLDER);
  if (!existsSync(nearby)) return [];
  return readdirSync(nearby)
    .filter((name) => name.endsWith(".json"))
    .sort()
    .flatMap((name) => {
      const read = Rubric.safeParse(readJson(join(nearby, name)));
      return read.success ? [read.data] : [];
    });
}
