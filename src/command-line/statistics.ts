import { resolve } from "node:path";
import type { Command } from "./command.ts";
import { optionsOf } from "./options.ts";
import { shown } from "./read-csv.ts";
import { sayStatistics } from "./say-statistics.ts";
import { methods } from "./statistics-methods.ts";
import { complaint, numberOption } from "./statistics-trouble.ts";
import { Trouble } from "./trouble.ts";

/** `statistics FILE.csv --method …`: one check of values. */
export const statistics: Command = {
  async run(args, { out, width, folder }) {
    const { values, positionals } = optionsOf(args, {
      method: { type: "string" },
      alpha: { type: "string" },
      most: { type: "string" },
      drop: { type: "string" },
    });
    if (values.help) {
      out(sayStatistics("help-statistics"));
      return 0;
    }
    const names = Object.keys(methods).join(", ");
    const name = values.method;
    if (name === undefined) throw new Trouble([complaint("method-missing", { methods: names })]);
    const method = Object.hasOwn(methods, name) ? methods[name] : undefined;
    if (!method)
      throw new Trouble([complaint("method-unknown", { name: shown(name), methods: names })]);
    const [file, ...more] = positionals;
    if (file === undefined || more.length > 0) throw new Trouble([complaint("one-input")]);
    const answer = method(resolve(folder, file), {
      alpha: numberOption("--alpha", values.alpha, 0.05, "share"),
      most: values.most === undefined ? undefined : numberOption("--most", values.most, 1, 1),
      drop: numberOption("--drop", values.drop, 1, 0),
    });
    out(
      values.json
        ? JSON.stringify({ method: name, ...answer.json }, null, 1)
        : answer.text(width).join("\n"),
    );
    return 0;
  },
};
