import { existsSync, renameSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
import { type ScorebookFile, scorebookFile } from "../core/scorebook/scorebook-file.ts";
import type { OpenStore } from "../hub/storage/open-store.ts";
import { sayTerminal } from "../words/terminal-words.ts";
import type { Command } from "./command.ts";
import { storeOptions, storePlace, withStore } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { Trouble } from "./trouble.ts";

/** `export`: one belt test a hub holds as a scorebook file. */
export const exportCommand: Command = {
  help: "help-export",
  async run(args, { out, err, folder }) {
    const { values, positionals } = optionsOf(args, {
      ...storeOptions,
      out: { type: "string" },
    });
    if (positionals.length > 1) throw new Trouble([{ say: "export-one-test" }]);
    const file = await withStore(storePlace(values, folder), {}, (opened) =>
      scorebookFileOf(opened, positionals[0]),
    );
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
  { store, place }: OpenStore,
  wanted: string | undefined,
): Promise<ScorebookFile> {
  const gradings = await store.gradings();
  const names = gradings.map(({ grading }) => grading).join(", ");
  if (gradings.length === 0) throw new Trouble([{ say: "store-empty", file: place }]);
  if (wanted === undefined && gradings.length > 1)
    throw new Trouble([{ say: "export-which", with: { names } }]);
  const found =
    wanted === undefined ? gradings[0] : gradings.find(({ grading }) => grading === wanted);
  if (!found) throw new Trouble([{ say: "export-unknown", with: { name: wanted ?? "", names } }]);
  const stored = await store.read(found.grading, 0);
  return scorebookFile(
    found.grading,
    stored.map(({ entry }) => entry),
    await store.sides(found.grading),
  );
}

function write(place: string, text: string): void {
  if (existsSync(place)) throw new Trouble([{ say: "export-exists", file: place }]);
  try {
    writeFileSync(`${place}.part`, text, { mode: 0o600 });
    renameSync(`${place}.part`, place);
  } catch (cause) {
    throw new Trouble([
      {
        say: "cannot-write",
        file: place,
        with: { detail: (cause as { code?: string }).code ?? "" },
      },
    ]);
  }
}
