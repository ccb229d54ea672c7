import { resolve } from "node:path";
import { hashOf } from "../hub/secrets.ts";
import { readChains } from "../hub/storage/read-chains.ts";
import { sayTerminal } from "../words/terminal-words.ts";
import type { Command } from "./command.ts";
import { storeOptions, storePlace, withStore } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { wrapped } from "./text-width.ts";
import { Trouble } from "./trouble.ts";
import { checkedHeads } from "./verify-heads.ts";

/** `verify`: whether a hub's record of each belt test still is what was written into it. */
export const verify: Command = {
  help: "help-verify",
  async run(args, { out, width, folder }) {
    const { values, positionals } = optionsOf(args, {
      ...storeOptions,
      head: { type: "string" },
      heads: { type: "string" },
      fingerprint: { type: "string" },
    });
    const [wanted] = positionals;
    if (positionals.length > 1) throw new Trouble([{ say: "verify-one-test" }]);
    const noted = values.head?.toLowerCase();
    if (noted !== undefined && !/^[0-9a-f]{64}$/.test(noted))
      throw new Trouble([{ say: "verify-head", with: { head: values.head ?? "" } }]);
    const { all, fingerprint, heads, place } = await withStore(
      storePlace(values, folder),
      {},
      async (opened) => {
        const rows = await opened.rows();
        const chains = await readChains(rows, noted).finally(() => rows.close());
        const key = await opened.door.setting("public-key");
        const hub = values.fingerprint?.toLowerCase() ?? (key === undefined ? "" : hashOf(key));
        const file = values.heads && resolve(folder, values.heads);
        return {
          all: chains,
          fingerprint: hub,
          heads: file ? await checkedHeads(opened.store, file, hub) : [],
          place: opened.place,
        };
      },
    );
    const chains = all.filter(({ grading }) => wanted === undefined || grading === wanted);
    const names = all.map(({ grading }) => grading).join(", ");
    if (all.length === 0) throw new Trouble([{ say: "store-empty", file: place }]);
    if (chains.length === 0)
      throw new Trouble([{ say: "export-unknown", with: { name: wanted ?? "", names } }]);
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
