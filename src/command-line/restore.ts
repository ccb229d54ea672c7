import { existsSync, mkdirSync } from "node:fs";
import { resolve } from "node:path";
import { testSides } from "../belt-test/scorebook/test-sides.ts";
import { type Fault, FaultError } from "../book/faults.ts";
import { trialStart } from "../hub/copies/trial-start.ts";
import { forgetAgain, openTakenAway } from "../hub/forgetting/forget-again.ts";
import { readChainsIn } from "../hub/store/read-chains.ts";
import { isUnsound } from "../line/side-check.ts";
import type { Command } from "./command.ts";
import { storeHome, storeOptions, withStore } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { faultInWords, sayTerminal } from "./say-terminal.ts";
import { Trouble } from "./trouble.ts";
import { waitForSweep } from "./wait-for-sweep.ts";

/** `restore FILE`: a backup into a data folder or a database that holds nothing yet, so that a new machine takes over. */
export const restore: Command = {
  help: "help-restore",
  async run(args, { out, err, folder }) {
    const { values, positionals } = optionsOf(args, {
      ...storeOptions,
      "set-aside": { type: "boolean" },
      "with-damaged": { type: "boolean" },
    });
    const [name, ...more] = positionals;
    if (name === undefined || more.length > 0) throw new Trouble([{ say: "restore-one-file" }]);
    const home = storeHome(values, folder);
    const { dataFolder: data, shown: where } = home;
    const copy = resolve(folder, name);
    if (!existsSync(copy)) throw new Trouble([{ say: "restore-no-file", file: name }]);
    const chains = await readChainsIn(copy, testSides);
    const broken = chains.filter((chain) => chain.broken !== null);
    if (broken.length > 0 && !values["with-damaged"])
      throw new Trouble(
        broken.map(({ grading }) => ({
          say: "restore-broken" as const,
          file: name,
          with: { test: grading },
        })),
      );
    if (home.isShared && values["set-aside"]) throw new Trouble([{ say: "restore-aside-there" }]);
    const isTaken = home.isTaken();
    if (isTaken && !values["set-aside"]) throw new Trouble([{ say: "restore-taken", file: data }]);
    mkdirSync(data, { recursive: true, mode: 0o700 });
    const letGo = home.hold();
    let aside: string | null = null;
    let gone = { records: 0, links: 0 };
    try {
      // Notes that cannot be read are known before anything is put away.
      openTakenAway(data);
      const fault = await faultOfStart(copy, data);
      // With a damaged key its marks can be taken out; nothing that is there is put away for it.
      if (fault && (isTaken || fault.code !== "KEY_DAMAGED")) throw new FaultError(fault);
      if (fault) err(faultInWords(fault));
      const put = await home.takeCopy(copy);
      if (put === "taken") throw new Trouble([{ say: "restore-taken-there", file: where }]);
      aside = put.aside;
      // Before anybody reads it.
      gone = await withStore(home, {}, async (opened) => {
        const again = await forgetAgain(opened, openTakenAway(data));
        await waitForSweep(opened, err);
        return again;
      });
    } finally {
      letGo();
    }
    const entries = chains.reduce((sum, chain) => sum + chain.entries, 0);
    const { records: forgotten, links } = gone;
    out(
      values.json
        ? JSON.stringify({ folder: where, tests: chains.length, entries, forgotten, links, aside })
        : sayTerminal("restored", { folder: where, tests: chains.length, entries }),
    );
    for (const { grading, sides } of chains) {
      const count = sides.filter(isUnsound).length;
      if (count > 0) err(sayTerminal("restored-sides", { test: grading, count }));
    }
    if (forgotten > 0 && !values.json) out(sayTerminal("restored-forgot", { forgotten }));
    if (links > 0 && !values.json) out(sayTerminal("restored-links", { links }));
    if (aside && !values.json) out(sayTerminal("restored-aside", { file: aside }));
    return 0;
  },
};

/** Why no hub could begin from this copy; undefined where one could. */
async function faultOfStart(copy: string, data: string): Promise<Fault | undefined> {
  try {
    await trialStart(copy, data);
    return undefined;
  } catch (error) {
    if (error instanceof FaultError) return error.fault;
    throw error;
  }
}
