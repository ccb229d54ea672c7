import { resolve } from "node:path";
import { fold } from "../belt-test/scorebook/scorebook.ts";
import { testSides } from "../belt-test/scorebook/test-sides.ts";
import type { GradingId } from "../book/identity.ts";
import { isLegible } from "../hub/door/legible-row.ts";
import { checkedHeads } from "../hub/seals/checked-heads.ts";
import { keptHeads } from "../hub/seals/kept-heads.ts";
import { keyFault } from "../hub/seals/own-key.ts";
import { hashOf } from "../hub/seals/secrets.ts";
import { type ErasedLog, openErasedLog } from "../hub/store/erased-log.ts";
import { isWhole, readChains } from "../hub/store/read-chains.ts";
import type { OpenStore } from "../hub/store/store-home.ts";
import type { Command } from "./command.ts";
import { storeHome, storeOptions, withStore } from "./data-store.ts";
import { strayRemarks, verdictRemarks } from "./file-remarks.ts";
import { headsIn } from "./heads-in.ts";
import { optionsOf } from "./options.ts";
import { isNotHere, sayChain } from "./say-chain.ts";
import { faultInWords, sayTerminal } from "./say-terminal.ts";
import { wrapped } from "./text-width.ts";
import { Trouble } from "./trouble.ts";
import { type Unsound, unsoundIn } from "./unsound-in.ts";

interface Asked {
  wanted: GradingId | undefined;
  /** A head noted earlier. */
  noted: string | undefined;
  /** A file with heads, by its whole path. */
  heads: string | undefined;
  fingerprint: string | undefined;
}

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
    if (positionals.length > 1) throw new Trouble([{ say: "verify-one-test" }]);
    const noted = values.head?.toLowerCase();
    if (noted !== undefined && !/^[0-9a-f]{64}$/.test(noted))
      throw new Trouble([{ say: "verify-head", with: { head: values.head ?? "" } }]);
    const asked = {
      wanted: positionals[0] as GradingId | undefined,
      noted,
      heads: values.heads && resolve(folder, values.heads),
      fingerprint: values.fingerprint?.toLowerCase(),
    };
    const home = storeHome(values, folder);
    const { chains, unsound, atDoor, verdicts, fingerprint, heads, kept, damagedKey } =
      await withStore(home, {}, (opened) => found(opened, asked, openErasedLog(home.dataFolder)));
    const isNoted = noted === undefined || chains.some(({ notedAt }) => notedAt !== null);
    const isSound =
      chains.every(isWhole) &&
      isNoted &&
      damagedKey === undefined &&
      unsound.length === 0 &&
      atDoor.length === 0 &&
      heads.every(({ result }) => result === "on-the-chain") &&
      kept.every(({ result }) => result === "on-the-chain");
    if (values.json) {
      const tests = chains.map((chain) => ({
        test: chain.grading,
        entries: chain.entries,
        head: chain.head,
        sound: isWhole(chain) && !unsound.some(({ test }) => test === chain.grading),
        broken: chain.broken,
        named: chain.named,
        gone: chain.gone,
        sides: chain.sides,
        ...(noted === undefined ? {} : { headFoundAfter: chain.notedAt }),
      }));
      const more = {
        fingerprint,
        ...(unsound.length > 0 && { unsound }),
        ...(atDoor.length > 0 && { atDoor }),
        ...(verdicts.length > 0 && { verdicts }),
        ...(damagedKey && { damagedKey: damagedKey.code }),
        ...(values.heads && { heads }),
        ...(kept.length > 0 && { kept }),
      };
      out(JSON.stringify({ sound: isSound, tests, ...more }, null, 2));
      return isSound ? 0 : 1;
    }
    const say = (line: string) => out(wrapped(line, width, "  ").join("\n"));
    for (const chain of chains) {
      const { head, notedAt, named } = chain;
      sayChain(chain, say);
      const gone = chain.gone - chain.sides.filter(isNotHere).length;
      if (gone > 0) out(`  ${sayTerminal("verify-gone", { gone, named })}`);
      out(`  ${sayTerminal("verify-now", { head })}`);
      if (notedAt !== null) out(`  ${sayTerminal("verify-noted", { entries: notedAt })}`);
    }
    for (const one of unsound) say(sayTerminal("verify-unsound", { ...one }));
    for (const one of atDoor) say(sayTerminal("verify-at-door", { ...one }));
    for (const { test, sentence } of verdicts) say(`${test}: ${sentence}`);
    for (const { grading, seq, result } of heads)
      say(sayTerminal(`verify-head-${result}`, { test: grading, seq }));
    for (const { grading, seq, result } of kept)
      if (result !== "on-the-chain")
        say(sayTerminal("verify-kept-rewritten", { test: grading, seq }));
    if (damagedKey) say(faultInWords(damagedKey));
    say(sayTerminal("verify-hub", { fingerprint }));
    if (!isNoted) say(sayTerminal("verify-not-noted"));
    return isSound ? 0 : 1;
  },
};

/** Each chain, what became of the heads in a file, and of those that came in with files and are this hub's. */
async function found(
  { rows: open, store, door, place }: OpenStore,
  asked: Asked,
  erased: ErasedLog,
) {
  const { wanted: grading, noted } = asked;
  const rows = await open();
  const chains = await readChains(rows, testSides, { noted, grading, erased: erased.of }).finally(
    () => rows.close(),
  );
  if (chains.length === 0) {
    const names = (await store.gradings()).map((one) => one.grading).join(", ");
    throw new Trouble([
      names === ""
        ? { say: "store-empty", file: place }
        : { say: "export-unknown", with: { name: grading ?? "", names } },
    ]);
  }
  const unsound: Unsound[] = [];
  const verdicts: { test: GradingId; sentence: string }[] = [];
  const atDoor: { test: GradingId; device: string }[] = [];
  for (const { grading: test } of chains)
    for (const row of await door.devices(test))
      if (!isLegible(row)) atDoor.push({ test, device: String(row.device) });
  for (const { grading: test, broken } of chains) {
    if (broken !== null) continue;
    const entries = (await store.read(test, 0)).map(({ entry }) => entry);
    const wrong = unsoundIn(test, entries);
    unsound.push(...wrong);
    if (wrong.length > 0) continue;
    const book = fold(entries);
    for (const sentence of [...strayRemarks(book), ...verdictRemarks(book)])
      verdicts.push({ test, sentence });
  }
  const key = await door.setting("public-key");
  const fingerprint = asked.fingerprint ?? (key === undefined ? "" : hashOf(key));
  const heads = asked.heads ? headsIn(asked.heads) : [];
  const kept = await checkedHeads(store, await keptHeads(door, grading), fingerprint);
  return {
    chains,
    unsound,
    atDoor,
    verdicts,
    fingerprint,
    heads: await checkedHeads(store, heads, fingerprint),
    kept: kept.filter(({ result }) => result !== "other-hub"),
    damagedKey: await keyFault(door),
  };
}
