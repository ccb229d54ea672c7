import { existsSync, renameSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
import type { ScorebookFile } from "../belt-test/scorebook/scorebook-file.ts";
import type { GradingId } from "../book/identity.ts";
import { hubsCopy } from "../hub/copies/hubs-copy.ts";
import { keyFault } from "../hub/seals/own-key.ts";
import type { OpenStore } from "../hub/store/open-store.ts";
import type { Command } from "./command.ts";
import { forgetNoted, storeOptions, storePlace, withStore } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { faultInWords, sayTerminal } from "./say-terminal.ts";
import { Trouble } from "./trouble.ts";

/** `export`: one belt test that a hub holds as a scorebook file. */
export const exportCommand: Command = {
  help: "help-export",
  async run(args, { out, err, folder }) {
    const { values, positionals } = optionsOf(args, {
      ...storeOptions,
      out: { type: "string" },
    });
    if (positionals.length > 1) throw new Trouble([{ say: "export-one-test" }]);
    const place = storePlace(values, folder);
    await forgetNoted(place);
    const file = await withStore(place, {}, async (opened) => {
      const damaged = await keyFault(opened.door);
      if (damaged) err(faultInWords(damaged));
      return scorebookFileOf(opened, positionals[0]);
    });
    const text = JSON.stringify(file);
    if (values.out === undefined || values.json) out(text);
    if (values.out !== undefined) {
      write(resolve(folder, values.out), `${text}\n`);
      err(
        sayTerminal("exported", {
          entries: file.entries.length,
          grading: file.grading,
          file: values.out,
        }),
      );
    }
    return 0;
  },
};

async function scorebookFileOf(
  opened: OpenStore,
  wanted: string | undefined,
): Promise<ScorebookFile> {
  const gradings = (await opened.store.gradings()).map(({ grading }) => grading);
  const names = gradings.join(", ");
  const [only, ...others] = gradings;
  if (!only) throw new Trouble([{ say: "store-empty", file: opened.place }]);
  if (wanted === undefined && others.length > 0)
    throw new Trouble([{ say: "export-which", with: { names } }]);
  const grading = (wanted ?? only) as GradingId;
  if (!gradings.includes(grading))
    throw new Trouble([{ say: "export-unknown", with: { name: grading, names } }]);
  return hubsCopy(opened, grading);
}

function write(place: string, text: string): void {
  if (existsSync(place)) throw new Trouble([{ say: "export-exists", file: place }]);
  try {
    writeFileSync(`${place}.part`, text, { mode: 0o600 });
    renameSync(`${place}.part`, place);
  } catch (cause) {
    const { code = "" } = cause as { code?: string };
    throw new Trouble([{ say: "cannot-write", file: place, with: { detail: code } }]);
  }
}
