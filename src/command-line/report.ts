import { mkdirSync, renameSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import * as z from "zod/mini";
import type { Command } from "./command.ts";
import { optionsOf } from "./options.ts";
import { shown } from "./read-csv.ts";
import { readText } from "./read-file.ts";
import { resultsCsv } from "./results-csv.ts";
import { resultsFromMarks } from "./results-from-marks.ts";
import { resultsFromScorebook } from "./results-from-scorebook.ts";
import { resultsJson } from "./results-json.ts";
import { resultsTable } from "./results-table.ts";
import { sayTerminal } from "./say-terminal.ts";
import { Trouble } from "./trouble.ts";

/** `report INPUT`: what a test's marks come to, from a scorebook file or a marks CSV. */
export const report: Command = {
  help: "help-report",
  async run(args, { out, err, width, folder }) {
    const { values, positionals } = optionsOf(args, {
      rubric: { type: "string", multiple: true },
      roster: { type: "string" },
      date: { type: "string" },
      out: { type: "string" },
    });
    const [file, ...more] = positionals;
    if (file === undefined || more.length > 0) throw new Trouble([{ say: "report-one-input" }]);
    const input = resolve(folder, file);
    const isScorebook = /^\s*[{[]/.test(readText(input));
    const { date } = values;
    if (date !== undefined && !z.safeParse(z.iso.date(), date).success)
      throw new Trouble([{ say: "date-wrong", with: { date: shown(date) } }]);
    if (isScorebook && (values.rubric || values.roster !== undefined || date !== undefined))
      throw new Trouble([{ say: "scorebook-brings-all", file }]);
    const results = isScorebook
      ? resultsFromScorebook(input)
      : resultsFromMarks({
          file: input,
          rubrics: (values.rubric ?? [])
            .flatMap((names) => names.split(","))
            .map((name) => resolve(folder, name)),
          roster: values.roster === undefined ? undefined : resolve(folder, values.roster),
          date,
          folder,
        });
    const json = `${JSON.stringify(resultsJson(results), null, 2)}\n`;
    if (values.out !== undefined) {
      const written = writeInto(resolve(folder, values.out), {
        "results.csv": resultsCsv(results),
        "results.json": json,
      });
      err(sayTerminal("written", { files: written.join(", ") }));
    }
    // Beside the data, where whoever reads it by a program still sees it.
    if (values.json && isScorebook) for (const remark of results.remarks) err(remark);
    out(values.json ? json.trimEnd() : resultsTable(results, width));
    return 0;
  },
};

/** Each file whole or not at all: written beside its place, then moved there. */
function writeInto(folder: string, files: Record<string, string>): string[] {
  try {
    mkdirSync(folder, { recursive: true });
    return Object.entries(files).map(([name, text]) => {
      const place = join(folder, name);
      writeFileSync(`${place}.part`, text, { mode: 0o600 });
      renameSync(`${place}.part`, place);
      return place;
    });
  } catch (cause) {
    throw new Trouble([
      {
        say: "cannot-write",
        file: folder,
        with: { detail: (cause as { code?: string }).code ?? "" },
      },
    ]);
  }
}
