import type { ReadScorebook } from "../../belt-test/scorebook/read-scorebook-file.ts";
import { signerOf } from "../seals/head-signer.ts";
import { canonicalText, entryDigest, FIRST_LINK, nextLink } from "../store/chain.ts";

/**
 * Where a file is not what a hub signed. `forged`: a head without a good signature; `changed`: the first entry that does not say what it
 * said, is missing or out of place; `added`: one that was never on the hub's record; `unsigned`: the chain is whole, and no head stands at its end.
 */
export interface FileBreak {
  why: "forged" | "changed" | "added" | "unsigned";
  path: (string | number)[];
}

/**
 * Where a scorebook file first differs from what a hub signed when it wrote it; undefined where it does not, or no hub wrote it.
 * A head of a tablet's file says where the hub's record stood, nothing of the file: only its signature can be looked at.
 */
export function fileBreak({ entries, heads, chain }: ReadScorebook): FileBreak | undefined {
  const forged = heads.findIndex((head) => signerOf(head) === undefined);
  if (forged >= 0) return { why: "forged", path: ["heads", forged] };
  if (chain.length === 0) return undefined;
  const byId = new Map(entries.map((entry) => [entry.id, entry]));
  let before = FIRST_LINK;
  for (const [index, { id, salt, link }] of chain.entries()) {
    const entry = byId.get(id);
    byId.delete(id);
    before = entry ? nextLink(before, entryDigest(salt, canonicalText(entry))) : "";
    if (before !== link) return { why: "changed", path: ["chain", index] };
  }
  const [added] = byId.keys();
  if (added)
    return { why: "added", path: ["entries", entries.findIndex(({ id }) => id === added)] };
  const isSigned = heads.some((head) => head.seq === chain.length && head.chain === before);
  return isSigned ? undefined : { why: "unsigned", path: ["heads"] };
}
