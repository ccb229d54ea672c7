import { readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import * as z from "zod/mini";

const FILE = "addresses.json";
const DAY_MS = 24 * 60 * 60 * 1000;
/** What a tablet left under an address is looked for in the weeks after a test, not for years. */
const KEPT_MS = 90 * DAY_MS;
/** So many are told; a hub that moves every day would fill the page. */
const MOST_TOLD = 4;
const Noted = z.record(z.string(), z.number());

/**
 * Notes in the data folder under which addresses a hub is reached now, and tells under which others it was, the newest first: a browser keeps
 * apart what was written under each. A note that cannot be read or written stops no hub.
 *
 * @param now  origins of this moment. @param nowMs  wall clock, milliseconds since 1970.
 */
export function formerAddresses(folder: string, now: readonly string[], nowMs: number): string[] {
  const file = join(folder, FILE);
  const noted = new Map(Object.entries(readNoted(file)));
  const isKnown = now.every(
    (address) => nowMs - (noted.get(address) ?? Number.NEGATIVE_INFINITY) < DAY_MS,
  );
  for (const address of now) noted.set(address, nowMs);
  const kept = [...noted].filter(([, atMs]) => nowMs - atMs < KEPT_MS);
  // Once a day is enough for what is known.
  if (!isKnown)
    try {
      writeFileSync(`${file}.new`, JSON.stringify(Object.fromEntries(kept)), { mode: 0o600 });
      renameSync(`${file}.new`, file);
    } catch {
      // Asked again with the next tablet.
    }
  return kept
    .filter(([address]) => !now.includes(address))
    .sort(([, one], [, other]) => other - one)
    .slice(0, MOST_TOLD)
    .map(([address]) => address);
}

function readNoted(file: string): Record<string, number> {
  try {
    return Noted.parse(JSON.parse(readFileSync(file, "utf8")));
  } catch {
    return {};
  }
}
