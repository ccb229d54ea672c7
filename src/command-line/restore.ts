import { existsSync, mkdirSync, renameSync } from "node:fs";
import { resolve } from "node:path";
import { restore as putBack } from "../hub/storage/backup.ts";
import { openErasedLog } from "../hub/storage/erased-log.ts";
import { holdFolder } from "../hub/storage/hold-folder.ts";
import { readChainsIn } from "../hub/storage/read-chains.ts";
import { openSqliteScorebook } from "../hub/storage/sqlite-scorebook.ts";
import { storeFile } from "../hub/storage/store-file.ts";
import { sayTerminal } from "../words/terminal-words.ts";
import type { Command } from "./command.ts";
import { storeOptions } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { Trouble } from "./trouble.ts";

/** `restore FILE`: a backup into a data folder that has no store yet, so that a new machine takes over. */
export const restore: Command = {
  help: "help-restore",
  async run(args, { out, folder }) {
    const { values, positionals } = optionsOf(args, {
      data: storeOptions.data,
      "set-aside": { type: "boolean" },
    });
    const [name, ...more] = positionals;
    if (name === undefined || more.length > 0) throw new Trouble([{ say: "restore-one-file" }]);
    const copy = resolve(folder, name);
    if (!existsSync(copy)) throw new Trouble([{ say: "restore-no-file", file: name }]);
    const chains = await readChainsIn(copy);
    const broken = chains.filter((chain) => chain.broken !== null);
    if (broken.length > 0)
      throw new Trouble(
        broken.map(({ grading }) => ({
          say: "restore-broken" as const,
          file: name,
          with: { test: grading },
        })),
      );
    const data = resolve(folder, values.data);
    const path = storeFile(data);
    mkdirSync(data, { recursive: true, mode: 0o700 });
    const letGo = holdFolder(data);
    let forgotten = 0;
    let aside: string | null = null;
    try {
      if (existsSync(path)) {
        if (!values["set-aside"]) throw new Trouble([{ say: "restore-taken", file: data }]);
        aside = setAside(path);
      }
      putBack(copy, path);
      forgotten = await forgetAgain(data, path);
    } finally {
      letGo();
    }
    const entries = chains.reduce((sum, chain) => sum + chain.entries, 0);
    out(
      values.json
        ? JSON.stringify({ folder: data, tests: chains.length, entries, forgotten, aside })
        : sayTerminal("restored", { folder: data, tests: chains.length, entries }),
    );
    if (forgotten > 0 && !values.json) out(sayTerminal("restored-forgot", { forgotten }));
    if (aside && !values.json) out(sayTerminal("restored-aside", { file: aside }));
    return 0;
  },
};

/** Gives the store that is there another name, with what belongs to it. @returns that name. */
function setAside(path: string): string {
  const aside = `${path}.aside-${new Date().toISOString().replace(/[-:.]/g, "")}`;
  for (const rest of ["", "-wal", "-shm"])
    if (existsSync(`${path}${rest}`)) renameSync(`${path}${rest}`, `${aside}${rest}`);
  return aside;
}

/** Whoever was erased since the backup was made is erased from it too, before anybody reads it. @returns how many records went. */
async function forgetAgain(data: string, path: string): Promise<number> {
  const store = openSqliteScorebook(path);
  try {
    let gone = 0;
    for (const { grading, about } of openErasedLog(data).all())
      gone += await store.erase(grading, about);
    return gone;
  } finally {
    await store.close();
  }
}
