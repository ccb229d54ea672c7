import { pathText } from "../belt-test/rubric/finding.ts";
import {
  type ReadScorebook,
  readScorebookFile,
} from "../belt-test/scorebook/read-scorebook-file.ts";
import { fileBreak } from "../hub/copies/file-break.ts";
import { isUnsound } from "../line/side-check.ts";
import { checkedSides } from "../line/test-side-check.ts";
import { readJson } from "./read-file.ts";
import { Trouble } from "./trouble.ts";

/**
 * A scorebook file, whole, and as the hub signed it where one did. Of its names and texts those come along that its entries refer to as they are.
 * @returns `lacking`: how many its entries speak of that are not in it, of nobody who is erased.
 *   `leftOut`: how many of those in it that its entries refer to are not as they say.
 * @throws Trouble with the JSON path of what is wrong: in a file that a hub signed also of a name or text.
 */
export function readScorebook(file: string): ReadScorebook & { lacking: number; leftOut: number } {
  const read = readScorebookFile(readJson(file));
  if (!read.ok)
    throw new Trouble([{ say: `scorebook-${read.problem}`, file, path: pathText(read.path) }]);
  const changed = fileBreak(read.file);
  if (changed)
    throw new Trouble([{ say: `scorebook-${changed.why}`, file, path: pathText(changed.path) }]);
  const { entries, sides, chain } = read.file;
  const { shown, findings } = checkedSides(entries, sides);
  const wrong = findings.find((one) => isUnsound(one) && one.why !== "missing");
  if (wrong && chain.length > 0)
    throw new Trouble([
      {
        say: wrong.why === "stray" ? "scorebook-side-added" : "scorebook-side-changed",
        file,
        path: pathText(["sides", sides.findIndex(({ id }) => id === wrong.id)]),
      },
    ]);
  const here = new Set(read.file.sides.map(({ id }) => id));
  const lacking = findings.filter(
    ({ id, why }) => (why === "missing" || why === "wordless") && !here.has(id),
  ).length;
  const leftOut = findings.filter(
    (one) => isUnsound(one) && one.why !== "stray" && here.has(one.id),
  ).length;
  return { ...read.file, sides: shown, lacking, leftOut };
}
