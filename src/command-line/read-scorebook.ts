import { pathText } from "../core/rubric/finding.ts";
import { type ReadScorebook, readScorebookFile } from "../core/scorebook/read-scorebook-file.ts";
import { readJson } from "./read-file.ts";
import { Trouble } from "./trouble.ts";

/** A scorebook file, whole. @throws Trouble with the JSON path of what is wrong. */
export function readScorebook(file: string): ReadScorebook {
  const read = readScorebookFile(readJson(file));
  if (!read.ok)
    throw new Trouble([{ say: `scorebook-${read.problem}`, file, path: pathText(read.path) }]);
  return read.file;
}
