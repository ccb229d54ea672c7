import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { testSides } from "../belt-test/scorebook/test-sides.ts";
import { openErasedLog } from "../hub/store/erased-log.ts";
import { isWhole, readChainsIn } from "../hub/store/read-chains.ts";
import type { Command } from "./command.ts";
import { forgetNoted, noStore, storeHome, storeOptions } from "./data-store.ts";
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
    const home = storeHome(values, folder);
    if (!home.isShared && !home.isTaken()) throw noStore(home);
    const copy = resolve(folder, name);
    if (existsSync(copy)) throw new Trouble([{ say: "export-exists", file: name }]);
    await forgetNoted(home);
    if (!(await home.copyTo(copy))) throw noStore(home);
    // What was copied is read once, so that a backup that cannot be restored is known today.
    const erased = openErasedLog(home.dataFolder).of;
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
