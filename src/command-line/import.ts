import { mkdirSync } from "node:fs";
import { resolve } from "node:path";
import { isDeepStrictEqual } from "node:util";
import { pathText } from "../core/rubric/finding.ts";
import type { ReadScorebook } from "../core/scorebook/read-scorebook-file.ts";
import { openErasedLog } from "../hub/storage/erased-log.ts";
import { holdFolder } from "../hub/storage/hold-folder.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { sayTerminal } from "../words/terminal-words.ts";
import type { Command } from "./command.ts";
import { DATA_FOLDER, type OpenStore, openStoreIn } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { readScorebook } from "./read-scorebook.ts";
import { type Complaint, Trouble } from "./trouble.ts";

/** `import FILE`: a scorebook file into a hub's data folder, whole or not at all. */
export const importWith = (open: OpenStore): Command => ({
  help: "help-import",
  async run(args, { out, folder }) {
    const { values, positionals } = optionsOf(args, {
      data: { type: "string", default: DATA_FOLDER },
    });
    const [name, ...more] = positionals;
    if (name === undefined || more.length > 0) throw new Trouble([{ say: "import-one-file" }]);
    const file = readScorebook(resolve(folder, name));
    const data = resolve(folder, values.data);
    try {
      mkdirSync(data, { recursive: true, mode: 0o700 });
    } catch (cause) {
      throw new Trouble([
        {
          say: "cannot-write",
          file: data,
          with: { detail: (cause as { code?: string }).code ?? "" },
        },
      ]);
    }
    // A running hub knows its tests by heart and numbers their lines: it would not see these come in.
    const letGo = holdFolder(data);
    let store: ScorebookStore | undefined;
    try {
      store = open(data);
      const clashes = await clashesWith(store, file, name);
      if (clashes.length > 0) throw new Trouble(clashes);
      const { added, known } = await store.append(file.grading, file.entries, file.sides);
      // A file from before somebody was erased brings nobody back.
      for (const about of openErasedLog(data).of(file.grading))
        await store.erase(file.grading, about);
      out(
        values.json
          ? JSON.stringify({ grading: file.grading, added: added.length, known: known.length })
          : sayTerminal("imported", {
              grading: file.grading,
              added: added.length,
              known: known.length,
            }),
      );
    } finally {
      await store?.close();
      letGo();
    }
    return 0;
  },
});
export const importCommand = importWith(openStoreIn);

/** Entries of the file that cannot stand beside what the store holds: asked before anything is written. */
async function clashesWith(
  store: ScorebookStore,
  { grading, entries }: ReadScorebook,
  file: string,
): Promise<Complaint[]> {
  const held = (await store.read(grading, 0)).map(({ entry }) => entry);
  const byId = new Map(held.map((entry) => [entry.id as string, entry]));
  const byPlace = new Map(held.map((entry) => [`${entry.device}/${entry.n}`, entry.id as string]));
  return entries.flatMap((entry, index): Complaint[] => {
    const same = byId.get(entry.id);
    if (same)
      return isDeepStrictEqual(plain(same), plain(entry))
        ? []
        : [{ say: "scorebook-id-reused", file, path: pathText(["entries", index, "id"]) }];
    return byPlace.has(`${entry.device}/${entry.n}`)
      ? [{ say: "scorebook-n-reused", file, path: pathText(["entries", index, "n"]) }]
      : [];
  });
}

const plain = (value: unknown): unknown => JSON.parse(JSON.stringify(value));
