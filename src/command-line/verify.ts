import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { hashOf } from "../hub/secrets.ts";
import { openDatabase } from "../hub/storage/open-database.ts";
import { readChains } from "../hub/storage/read-chains.ts";
import { storeFile } from "../hub/storage/store-file.ts";
import { sayTerminal } from "../words/terminal-words.ts";
import type { Command } from "./command.ts";
import { DATA_FOLDER } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { wrapped } from "./text-width.ts";
import { Trouble } from "./trouble.ts";
import { checkedHeads } from "./verify-heads.ts";

/** `verify`: whether a hub's record of each belt test still is what was written into it. */
export const verify: Command = {
  help: "help-verify",
  async run(args, { out, width, folder }) {
    const { values, positionals } = optionsOf(args, {
      data: { type: "string", default: DATA_FOLDER },
      head: { type: "string" },
      heads: { type: "string" },
      fingerprint: { type: "string" },
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

    const fingerprint = values.fingerprint?.toLowerCase() ?? hubFingerprint(path);
    const heads = values.heads
      ? checkedHeads(path, resolve(folder, values.heads), fingerprint)
      : [];
    const areHeadsSound = heads.every(({ result }) => result === "on-the-chain");
    const isNoted = noted === undefined || chains.some(({ notedAt }) => notedAt !== null);
    const isSound = chains.every(({ broken }) => broken === null) && isNoted && areHeadsSound;
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
      const more = values.heads ? { fingerprint, heads } : { fingerprint };
      out(JSON.stringify({ sound: isSound, tests, ...more }, null, 2));
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
    for (const { grading, seq, result } of heads)
      out(
        wrapped(sayTerminal(`verify-head-${result}`, { test: grading, seq }), width, "  ").join(
          "\n",
        ),
      );
    out(wrapped(sayTerminal("verify-hub", { fingerprint }), width, "  ").join("\n"));
    if (!isNoted) out(wrapped(sayTerminal("verify-not-noted"), width, "  ").join("\n"));
    return isSound ? 0 : 1;
  },
};

/** What the hub of this store is known by: the hash of its public key. */
function hubFingerprint(path: string): string {
  const database = openDatabase(path);
  try {
    const found = database.prepare("SELECT name FROM sqlite_master WHERE name = 'settings'").get();
    const key =
      found && database.prepare("SELECT value FROM settings WHERE name = 'public-key'").get();
    return key ? hashOf((key as { value: string }).value) : "";
  } finally {
    database.close();
  }
}
