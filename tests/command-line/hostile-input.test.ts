import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { chance, seedOf } from "../../src/demo/chance.ts";
import { openSqliteScorebook } from "../../src/hub/store/sqlite-scorebook.ts";
import { storeFile } from "../../src/hub/store/store-file.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aRubric } from "../builders/a-rubric.ts";
import { mutatedJson, mutatedText } from "../hostile/mutated.ts";
import { aScorebookFile } from "./a-scorebook-file.ts";
import { aFolder, run } from "./run.ts";

type Dice = ReturnType<typeof dice>;
function dice(...seed: (string | number)[]) {
  const its = chance(seedOf(4, ...seed));
  const below = (count: number) => Math.floor(its.share() * count);
  return { ...its, below, one: <T>(of: readonly T[]): T => of[below(of.length)] as T };
}

const odd = "0 -0 1 2 3 4 2.5 1e17 1e-15 1.0000000000000002 not-seen NaN Infinity 1e400 =1+1".split(
  " ",
);
const numbers: readonly (readonly string[])[] = [
  odd,
  ["1e-80", "2e-80", "3e-80"],
  ["1e-39", "2e-39", "3e-38", "0"],
  ["1e39", "2e39", "-3e39"],
  ["1e139", "2e139", "1e-139"],
  ["1", "1", "1", "2"],
];

function panelCsv(its: Dice): string {
  const kind = its.one(numbers);
  const lines = ["candidate,judge,mark,item"];
  const [candidates, judges] = [1 + its.below(5), 1 + its.below(4)];
  for (let candidate = 0; candidate < candidates; candidate++)
    for (let judge = 0; judge < judges; judge++)
      if (its.share() < 0.9)
        lines.push(`c${candidate},j${judge},${its.one(kind)},${its.one(["x", "y", ""])}`);
  return lines.join("\n");
}

const columnsOf: Record<string, string> = {
  "algorithm-a": "value",
  grubbs: "value",
  esd: "value",
  "modified-z": "value",
  "trimmed-mean": "value",
  univariate: "value",
  anova: "group,value",
  mandel: "group,value",
  cochran: "group,value",
  borderline: "score,judgement",
  "weighted-kappa": "first,second",
};
function valuesCsv(its: Dice, columns: string): string {
  const kind = its.one(numbers);
  const cell = (name: string) => (name === "group" ? its.one(["a", "b", "c"]) : its.one(kind));
  const rows = Array.from({ length: its.below(12) }, () => columns.split(",").map(cell).join(","));
  return [columns, ...rows].join("\n");
}

/** Every command answers in words, whatever it is given: 0, 1 or 2, and no number that is none. */
async function answers(folder: string, args: readonly string[]): Promise<void> {
  const { code, out, err } = await run(folder, args);
  expect([0, 1, 2]).toContain(code);
  expect(err).not.toMatch(/\n\s+at /);
  if (code === 2) expect(err).not.toBe("");
  const saysNone = args[0] === "agreement" || args[0] === "statistics";
  if (saysNone) expect(out).not.toMatch(/\bNaN\b|\bInfinity\b/);
}

describe("a command that is given nonsense", () => {
  it("[L84] answers in words where numbers are too small, too large or all alike", async () => {
    for (let turn = 0; turn < 250; turn++) {
      const its = dice("numbers", turn);
      const method = its.one(Object.keys(columnsOf));
      const folder = aFolder({
        "marks.csv": panelCsv(its),
        "values.csv": valuesCsv(its, columnsOf[method] ?? ""),
      });
      const json = its.share() < 0.5 ? ["--json"] : [];
      await answers(folder, ["agreement", "marks.csv", ...json]);
      await answers(folder, ["statistics", "values.csv", "--method", method, ...json]);
    }
  });

  it("[L116] answers in words where a rubric's number is too fine to reckon with, also in an older file", async () => {
    const { file } = aScorebookFile();
    const frozen = file.entries.find(({ kind }: { kind: string }) => kind === "frozen");
    const { rubric } = frozen.body;
    rubric.criteria[0].weight = 1e-308;
    rubric.sections[0].items[0].weight = Number.MIN_VALUE;
    const marks =
      "candidate,judge,section,item,criterion,mark\n7,j,etiquette,bows-in,done,2\n7,j,etiquette,ties-belt,done,1\n";
    const folder = aFolder({ "book.json": file, "rubric.json": rubric, "marks.csv": marks });
    const told = { code: 2, err: expect.stringContaining("rubric.criteria[0].weight") };
    expect(await run(folder, ["report", "book.json"])).toMatchObject(told);
    expect(await run(folder, ["import", "book.json"])).toMatchObject(told);
    const { code, out } = await run(folder, ["check", "rubric.json"]);
    expect([code, out]).toEqual([1, expect.stringContaining("It must be at least 0.001")]);
    await answers(folder, ["report", "marks.csv", "--rubric", "rubric.json"]);
  });

  it("[L84] answers in words where a scorebook, a rubric or a spreadsheet was changed somewhere", async () => {
    const { file } = aScorebookFile();
    const marks =
      "candidate,judge,section,item,criterion,mark\n7,j,etiquette,bows-in,done,2\n7,j,etiquette,ties-belt,done,1\n";
    for (let turn = 0; turn < 120; turn++) {
      const its = dice("files", turn);
      const folder = aFolder({
        "book.json": JSON.stringify(mutatedJson(file, its)) ?? "",
        "text.json": mutatedText(JSON.stringify(file), its),
        "rubric.json": JSON.stringify(mutatedJson(aRubric(), its)) ?? "",
        "whole.json": aRubric(),
        "marks.csv": mutatedText(marks, its),
        "roster.csv": mutatedText("candidate,given,birth-year\n7,Mia,2017\n", its),
      });
      const book = its.one(["book.json", "text.json"]);
      await answers(folder, ["report", book, "--json"]);
      await answers(folder, ["import", book]);
      await answers(folder, ["verify", "--heads", book]);
      await answers(folder, ["check", "rubric.json"]);
      await answers(folder, [
        "report",
        "marks.csv",
        "--rubric",
        its.one(["rubric.json", "whole.json"]),
      ]);
      await answers(folder, [
        "report",
        "marks.csv",
        "--rubric",
        "whole.json",
        "--roster",
        "roster.csv",
        "--date",
        "2026-06-06",
      ]);
      await answers(folder, ["agreement", "marks.csv"]);
    }
  }, 60_000);

  it("[L84] answers in words where entries of a store were changed somewhere", async () => {
    const { file } = aScorebookFile();
    for (let turn = 0; turn < 25; turn++) {
      const its = dice("stores", turn);
      const folder = aFolder();
      mkdirSync(join(folder, "evenhand-data"));
      const store = openSqliteScorebook(storeFile(join(folder, "evenhand-data")), testBooks);
      const entries = file.entries.map((entry: object) =>
        its.share() < 0.05
          ? { ...entry, body: mutatedJson((entry as { body: unknown }).body, its) }
          : entry,
      );
      await store.append(aGradingId, entries);
      await store.close();
      await answers(folder, ["verify"]);
      await answers(folder, ["export", "--out", "out.json"]);
    }
  }, 60_000);

  it("[L84] says of a data folder that is none what is wrong, whatever the command", async () => {
    const folder = aFolder({ "a-file": "" });
    for (const command of ["export", "verify", "devices"]) {
      const { code, err } = await run(folder, [command, "--data", "a-file"]);
      expect([command, code, err]).toEqual([command, 2, expect.stringContaining("a-file")]);
    }
  });
});
