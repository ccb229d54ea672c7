import { pathText } from "../core/rubric/finding.ts";
import { type ReadScorebook, readScorebookFile } from "../core/scorebook/read-scorebook-file.ts";
import { fileBreak } from "../hub/file-break.ts";
import { readJson } from "./read-file.ts";
import { Trouble } from "./trouble.ts";

/** A scorebook file, whole, and as the hub signed it where one did. @throws Trouble with the JSON path of what is wrong. */
export function readScorebook(file: string): ReadScorebook {
  const read = readScorebookFile(readJson(file));
  if (!read.ok)
    throw new Trouble([{ say: `scorebook-${read.problem}`, file, path: pathText(read.path) }]);
  const changed = fileBreak(read.file);
  if (changed)
    throw new Trouble([{ say: `scorebook-${changed.why}`, file, path: pathText(changed.path) }]);
  return read.file;
}
