import { resolve } from "node:path";
import { agreementFigures } from "./agreement-figures.ts";
import { agreementTable } from "./agreement-table.ts";
import type { Command } from "./command.ts";
import { optionsOf } from "./options.ts";
import { shown } from "./read-csv.ts";
import { readPanel } from "./read-panel.ts";
import { sayStatistics } from "./say-statistics.ts";
import { complaint, numberOption } from "./statistics-trouble.ts";
import { Trouble } from "./trouble.ts";

/** `agreement MARKS.csv`: how far any panel agrees, no rubric needed. */
export const agreement: Command = {
  async run(args, { out, width, folder }) {
    const { values, positionals } = optionsOf(args, {
      random: { type: "string" },
      fixed: { type: "string" },
      seed: { type: "string" },
    });
    if (values.help) {
      out(sayStatistics("help-agreement"));
      return 0;
    }
    const [file, ...more] = positionals;
    if (file === undefined || more.length > 0) throw new Trouble([complaint("one-input")]);
    const seed = numberOption("--seed", values.seed, 1, 0);
    const panel = readPanel(resolve(folder, file));
    const known = [...panel.columns.factors.keys()];
    const random = effectsOf("--random", values.random, known, []);
    const fixed = effectsOf("--fixed", values.fixed, known, random);
    const figures = agreementFigures(panel, { random, fixed, seed });
    out(values.json ? JSON.stringify(figures, null, 1) : agreementTable(figures, width));
    return 0;
  },
};

/** Names of effects, with commas between; a colon joins two factors, in whichever order. */
function effectsOf(
  option: string,
  text: string | undefined,
  known: readonly string[],
  taken: readonly string[],
): string[] {
  if (text === undefined) return [];
  const names = text.split(",").map((name) => name.trim().toLowerCase());
  const keys = taken.map(sorted);
  for (const name of names) {
    const parts = name.split(":");
    if (parts.some((part) => !known.includes(part)))
      throw new Trouble([
        complaint("effect-unknown", { option, name: shown(name), names: known.join(", ") }),
      ]);
    if (keys.includes(sorted(name)) || new Set(parts).size < parts.length)
      throw new Trouble([complaint("effect-twice", { option, name: shown(name) })]);
    keys.push(sorted(name));
  }
  return names;
}
const sorted = (name: string): string => name.split(":").sort().join(":");
