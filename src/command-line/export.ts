import { existsSync, renameSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
import type { ScorebookFile } from "../belt-test/scorebook/scorebook-file.ts";
import { testSides } from "../belt-test/scorebook/test-sides.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { GradingId } from "../book/identity.ts";
import { hubsCopy } from "../hub/copies/hubs-copy.ts";
import { keyFault } from "../hub/seals/own-key.ts";
import { type ErasedLog, openErasedLog } from "../hub/store/erased-log.ts";
import { isWhole, readChains } from "../hub/store/read-chains.ts";
import type { OpenStore } from "../hub/store/store-home.ts";
import type { Command } from "./command.ts";
import { forgetNoted, storeHome, storeOptions, withStore } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { sayChain } from "./say-chain.ts";
import { faultInWords, sayTerminal } from "./say-terminal.ts";
import { wrapped } from "./text-width.ts";
import { Trouble } from "./trouble.ts";
import { unsoundIn } from "./unsound-in.ts";

/** `export`: one belt test that a hub holds as a scorebook file. */
export const exportCommand: Command = {
  help: "help-export",
  async run(args, { out, err, width, folder }) {
    const { values, positionals } = optionsOf(args, {
      ...storeOptions,
      out: { type: "string" },
    });
    if (positionals.length > 1) throw new Trouble([{ say: "export-one-test" }]);
    const home = storeHome(values, folder);
    await forgetNoted(home);
    const erased = openErasedLog(home.dataFolder);
    const { file, wrong } = await withStore(home, {}, async (opened) => {
      const damaged = await keyFault(opened.door);
      if (damaged) err(faultInWords(damaged));
      const copy = await scorebookFileOf(opened, positionals[0]);
      return { file: copy, wrong: await wrongWith(opened, copy, erased) };
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
    for (const line of wrong) err(wrapped(line, width, "  ").join("\n"));
    return wrong.length > 0 ? 1 : 0;
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

/** What `verify` says of a test whose record is not as it was written, or that `report` and `import` refuse: the file says the same. Nothing of a sound one. */
async function wrongWith(
  { rows: open }: OpenStore,
  { grading, entries }: ScorebookFile,
  erased: ErasedLog,
): Promise<string[]> {
  const rows = await open();
  const chains = await readChains(rows, testSides, { grading, erased: erased.of }).finally(() =>
    rows.close(),
  );
  const lines: string[] = [];
  const broken = chains.filter((chain) => !isWhole(chain));
  for (const chain of broken) sayChain(chain, (line) => lines.push(line));
  // What a broken record says is not what was written.
  if (chains.every((chain) => chain.broken === null))
    for (const one of unsoundIn(grading, entries as AnyEntry[]))
      lines.push(sayTerminal("verify-unsound", { ...one }));
  return lines;
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
