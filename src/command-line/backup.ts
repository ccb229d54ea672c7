import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { testSides } from "../belt-test/scorebook/test-sides.ts";
import { backUp, backUpRows } from "../hub/store/backup.ts";
import { openErasedLog } from "../hub/store/erased-log.ts";
import { isWhole, readChainsIn } from "../hub/store/read-chains.ts";
import { storeFile } from "../hub/store/store-file.ts";
import { testBooks } from "../hub/test-room/test-books.ts";
import type { Command } from "./command.ts";
import { forgetNoted, storeOptions, storePlace, withStore } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { sayTerminal } from "./say-terminal.ts";
import { Trouble } from "./trouble.ts";

/** `backup`: everything a hub holds as one file, also while it is at work. */
export const backup: Command = {
  help: "help-backup",
  async run(args, { out, folder }) {
    const { values, positionals } = optionsOf(args, storeOptions);
    const [name, ...more] = positionals;
    if (name === undefined || more.length > 0) throw new Trouble([{ say: "backup-one-file" }]);
    const place = storePlace(values, folder);
    const path = storeFile(place.dataFolder);
    if (place.address === undefined && !existsSync(path))
      throw new Trouble([{ say: "no-store", file: place.dataFolder }]);
    const copy = resolve(folder, name);
    if (existsSync(copy)) throw new Trouble([{ say: "export-exists", file: name }]);
    await forgetNoted(place);
    if (place.address === undefined) backUp(path, copy);
    else
      await withStore(place, {}, async (opened) => {
        const rows = await opened.rows();
        await backUpRows(rows, copy, testBooks).finally(() => rows.close());
      });
    // What was copied is read once, so that a backup that cannot be restored is known today.
    const erased = openErasedLog(place.dataFolder).of;
    const chains = await readChainsIn(copy, testSides, { erased });
    const tests = chains.map((chain) => ({
      test: chain.grading,
      entries: chain.entries,
      sound: isWhole(chain),
    }));
    // A name that is wrong is said by verify; the copy holds it as it is, and is a copy all the same.
    const isSound = chains.every(({ broken }) => broken === null);
    if (values.json) out(JSON.stringify({ file: name, sound: isSound, tests }));
    else {
      const entries = tests.reduce((sum, test) => sum + test.entries, 0);
      out(sayTerminal("backed-up", { file: name, tests: tests.length, entries }));
      if (!tests.every(({ sound }) => sound)) out(sayTerminal("backed-up-broken"));
    }
    return isSound ? 0 : 1;
  },
};
