import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { readChains } from "../hub/storage/read-chains.ts";
import { storeFile } from "../hub/storage/store-file.ts";
import { sayTerminal } from "../words/terminal-words.ts";
import type { Command } from "./command.ts";
import { DATA_FOLDER } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { wrapped } from "./text-width.ts";
import { Trouble } from "./trouble.ts";

/** `verify`: whether a hub's record of each belt test still is what was written into it. */
export const verify: Command = {
  help: "help-verify",
  async run(args, { out, width, folder }) {
    const { values, positionals } = optionsOf(args, {
      data: { type: "string", default: DATA_FOLDER },
      head: { type: "string" },
    });
    const [wanted] = positionals;
    if (positionals.length > 1) throw new Trouble([{ say: "verify-one-test" }]);
    const noted = values.head?.toLowerCase();
    if (noted !== undefined && !/^[0-9a-f]{64}$/.test(noted))
      throw new Trouble([{ say: "verify-head", with: { head: values.head ?? "" } }]);
    const data = resolve(folder, values.data);
    const path = storeFile(data);
    if (!existsSync(path)) throw new Trouble([{ say: "no-store", file: data }]);
    const all = readChains(path, noted);
    const chains = all.filter(({ grading }) => wanted === undefined || grading === wanted);
    const names = all.map(({ grading }) => grading).join(", ");
    if (all.length === 0) throw new Trouble([{ say: "store-empty", file: data }]);
    if (chains.length === 0)
      throw new Trouble([{ say: "export-unknown", with: { name: wanted ?? "", names } }]);

    const isNoted = noted === undefined || chains.some(({ notedAt }) => notedAt !== null);
    const isSound = chains.every(({ broken }) => broken === null) && isNoted;
    if (values.json) {
      const tests = chains.map(({ grading, entries, head, broken, notedAt, named, gone }) => ({
        test: grading,
        entries,
        head,
        sound: broken === null,
        broken,
        named,
        gone,
        ...(noted === undefined ? {} : { headFoundAfter: notedAt }),
      }));
      out(JSON.stringify({ sound: isSound, tests }, null, 2));
      return isSound ? 0 : 1;
    }
    for (const { grading, entries, head, broken, notedAt, named, gone } of chains) {
      const line = broken
        ? sayTerminal("verify-broken", { test: grading, entries, ...broken })
        : sayTerminal("verify-sound", { test: grading, entries });
      out(wrapped(line, width, "  ").join("\n"));
      if (gone > 0) out(`  ${sayTerminal("verify-gone", { gone, named })}`);
      out(`  ${sayTerminal("verify-now", { head })}`);
      if (notedAt !== null) out(`  ${sayTerminal("verify-noted", { entries: notedAt })}`);
    }
    if (!isNoted) out(wrapped(sayTerminal("verify-not-noted"), width, "  ").join("\n"));
    return isSound ? 0 : 1;
  },
};
