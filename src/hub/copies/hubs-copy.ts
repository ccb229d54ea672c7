import {
  type ChainLink,
  MOST_HEADS,
  type ScorebookFile,
  scorebookFile,
} from "../../belt-test/scorebook/scorebook-file.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { GradingId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import { HeadSigner } from "../seals/head-signer.ts";
import { keptHeads } from "../seals/kept-heads.ts";
import { keyFault, ownKey } from "../seals/own-key.ts";
import { readSide } from "../store/read-side.ts";
import { testDamaged } from "../store/sound-lines.ts";
import type { OpenStore } from "../store/store-home.ts";
import type { ChainRow } from "../store/verify-chain.ts";

/**
 * One test of a store as a file, as it is at one moment. A store with a key signs where its chain stands and gives the chain along, so
 * that a change to the file is found without this hub; heads that other files brought go along too.
 */
export async function hubsCopy(
  { rows: open, door }: Pick<OpenStore, "rows" | "door">,
  grading: GradingId,
): Promise<ScorebookFile> {
  const entries: AnyEntry[] = [];
  const sides: SideRecord[] = [];
  const chain: ChainLink[] = [];
  const rows = await open();
  try {
    for await (const some of rows.of("entries", grading))
      for (const { id, body, salt, chain: link } of some as unknown as ChainRow[]) {
        entries.push(lineOf(grading, entries.length + 1, body));
        chain.push({ id: id as ChainLink["id"], salt, link });
      }
    for await (const some of rows.of("sides", grading))
      for (const { id, record } of some) {
        const side = readSide(grading, String(id), String(record));
        // What cannot be read is missing from the file, which says so when it is read.
        if (side.about) sides.push(side);
      }
  } finally {
    await rows.close();
  }
  const kept = await keptHeads(door, grading);
  // With a damaged key nothing can be signed, and what the hub holds can still be taken out.
  const key = (await keyFault(door)) ? undefined : await ownKey(door);
  const last = chain.at(-1);
  if (key === undefined || !last)
    return scorebookFile(grading, entries, sides, undefined, { heads: kept.slice(-MOST_HEADS) });
  const now = new HeadSigner(key).sign(grading, chain.length, last.link);
  const others = kept.filter((head) => head.signature !== now.signature);
  const heads = [...others.slice(1 - MOST_HEADS), now];
  return scorebookFile(grading, entries, sides, undefined, { heads, chain });
}

function lineOf(grading: GradingId, seq: number, body: string): AnyEntry {
  try {
    return JSON.parse(body) as AnyEntry;
  } catch {
    throw testDamaged(grading, seq);
  }
}
