import { describe, expect, it } from "vitest";
import { rosterNumber, rosterYear } from "../../src/belt-test/planning/roster-cells.ts";
import { sameNames } from "../../src/belt-test/planning/same-name.ts";
import { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import { readEntry } from "../../src/belt-test/scorebook/entry.ts";
import { plainNumber } from "../../src/command-line/plain-number.ts";
import { shown } from "../../src/command-line/read-csv.ts";
import { fitted } from "../../src/command-line/text-width.ts";
import { asTyped } from "../../src/hub/seals/secrets.ts";
import { fileWord } from "../../src/tablet/parts/save-file.ts";
import { aPen } from "../builders/a-pen.ts";
import { aMark } from "../builders/a-test-day.ts";
import { shippedRubrics } from "../builders/shipped-rubrics.ts";

/** Texts on which a regular expression that can match in several ways takes its time, and a good one does not. */
const attacks = (length: number): string[] =>
  [
    "1",
    "a",
    "A",
    "-",
    " ",
    ".",
    "a-",
    "aA",
    "a1-",
    "0.",
    "1e",
    "\u0301",
    "\n",
    '"',
    "[{",
    "é",
  ].flatMap((one) => {
    const long = one.repeat(Math.ceil(length / one.length));
    return [long, `${long}!`, `=${long}`, `${long}\u0000`];
  });

const mark = aMark(aPen("judge-1"));
const [rubric] = shippedRubrics;
/** Everything that looks at a text from outside with a regular expression. */
const readers: Record<string, (text: string) => unknown> = {
  "a number in a file": plainNumber,
  "a number in a roster": rosterNumber,
  "a year in a roster": (text) => rosterYear(text, 2026),
  "a cell in a fault": shown,
  "a cell in a table": (text) => fitted(text, 20),
  "a name of two judges": (text) => sameNames([text], ["Ada"]),
  "a title as a file's name": fileWord,
  "a code as it is typed": asTyped,
  "a language of a rubric": (text) =>
    Rubric.safeParse({ ...(rubric?.json as object), language: text }),
  "a colour of a belt": (text) =>
    Rubric.safeParse({ ...(rubric?.json as object), $schema: text, id: text }),
  "an id of an entry": (text) => readEntry({ ...mark, id: text }),
  "a kind of an entry": (text) => readEntry({ ...mark, kind: text, by: text, device: text }),
};

describe("regular expressions that see what comes from outside", () => {
  it.each(Object.keys(readers))("%s takes no longer than its length", (name) => {
    const read = readers[name] as (text: string) => unknown;
    for (const text of attacks(100_000)) {
      const begun = performance.now();
      read(text);
      // A hundred thousand letters, in order: a millisecond or few. Squared: minutes.
      expect([text.slice(0, 4), performance.now() - begun < 500]).toEqual([text.slice(0, 4), true]);
    }
  });
});
