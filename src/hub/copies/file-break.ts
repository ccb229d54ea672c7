import type { ReadScorebook } from "../../belt-test/scorebook/read-scorebook-file.ts";
import type { SignedHead } from "../../book/signed-head.ts";
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
 * A head of a tablet's file says where the hub's record stood, nothing of the file: one that no hub signed takes nothing from its lines.
 */
export function fileBreak({ person, entries, heads, chain }: ReadScorebook): FileBreak | undefined {
  const forged =
    person === undefined ? heads.findIndex((head) => signerOf(head) === undefined) : -1;
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

/**
 * A head in a file that its chain does not bear out. `later`: of an entry beyond its end; `otherwise`: for an entry of its chain, with another link.
 * Lines were taken off its end, or the hub went on from an older copy.
 */
export interface HeadApart {
  why: "later" | "otherwise";
  seq: number;
}

/**
 * Which head of a hub that signed the end of an unbroken file is not on its chain; undefined where all are, or no hub signed it.
 * Other hubs' heads go along with a file and say nothing of it. With every later head taken out, a file that was cut back to an earlier
 * one is the hub's export of that moment, and nothing in it tells them apart.
 * @returns the last that is later, else the first that says otherwise
 */
export function headApart({
  heads,
  chain,
}: Pick<ReadScorebook, "heads" | "chain">): HeadApart | undefined {
  const isOn = ({ seq, chain: link }: SignedHead) => chain[seq - 1]?.link === link;
  const signers = new Set(
    heads.filter((head) => head.seq === chain.length && isOn(head)).map(signerOf),
  );
  const apart = heads
    .filter((head) => signers.has(signerOf(head)) && !isOn(head))
    .sort((a, b) => a.seq - b.seq);
  const later = apart.findLast(({ seq }) => seq > chain.length);
  if (later) return { why: "later", seq: later.seq };
  const [first] = apart;
  return first && { why: "otherwise", seq: first.seq };
}
