import * as z from "zod/mini";
import { GradingId } from "./identity.ts";

/**
 * Where a hub's chain stood at some moment, signed by the hub. Kept by every tablet, so that a hub cannot rewrite its record alone:
 * a head that once was on the chain must be on it for ever.
 */
export const SignedHead = z.looseObject({
  grading: GradingId,
  /** How many entries there were. */
  seq: z.int().check(z.gte(1)),
  /** The chain's link after that entry. */
  chain: z.string().check(z.regex(/^[0-9a-f]{64}$/)),
  /** The hub's public key: Ed25519, SPKI, DER as Base64. */
  key: z.string().check(z.maxLength(200)),
  /** Of `headMessage`, Base64 (RFC 8032). */
  signature: z.string().check(z.maxLength(200)),
});
export type SignedHead = z.infer<typeof SignedHead>;

/**
 * What is signed: one text for one head.
 *
 * @example
 * headMessage({ grading: "g", seq: 2, chain: "ab" }); // => "evenhand head 1\ng\n2\nab"
 */
export const headMessage = ({
  grading,
  seq,
  chain,
}: Pick<SignedHead, "grading" | "seq" | "chain">): string =>
  `evenhand head 1\n${grading}\n${seq}\n${chain}`;

/** A tablet keeps so many, the newest. */
const KEPT = 8;

/** Heads with one more: oldest first, one for a place, the newest few. Two for one place that say otherwise stay beside each other: that is what they are kept for. */
export function withHead(heads: readonly SignedHead[], head: SignedHead): SignedHead[] {
  const isKnown = heads.some(
    ({ seq, chain, key }) => seq === head.seq && chain === head.chain && key === head.key,
  );
  if (isKnown) return [...heads];
  const all = [...heads, head].sort((a, b) => a.seq - b.seq);
  const apart = headsApart(all);
  const isProof = (one: SignedHead) => one.seq === apart?.seq;
  const proof = all.filter(isProof).slice(0, 2);
  const others = all.filter((one) => !isProof(one));
  const room = KEPT - proof.length;
  return [...proof, ...others.slice(-room)].sort((a, b) => a.seq - b.seq);
}

/** The first place at which kept heads cannot both be of one record. */
interface Apart {
  seq: number;
}

/**
 * Where two heads that a tablet kept contradict each other: signed for one place, with different links. The record was rewritten,
 * or an older copy was put back and went on otherwise. Null where all that is kept can be one record, which is no proof that it is.
 *
 * @example
 * const head = (seq, chain) => ({ grading: "g", seq, chain, key: "k", signature: "s" });
 * headsApart([head(3, "aa"), head(9, "bb"), head(9, "cc")]); // => { seq: 9 }
 * headsApart([head(3, "aa"), head(9, "bb")]); // => null
 */
export function headsApart(heads: readonly SignedHead[]): Apart | null {
  const links = new Map<number, string>();
  for (const { seq, chain } of [...heads].sort((a, b) => a.seq - b.seq)) {
    const before = links.get(seq);
    if (before !== undefined && before !== chain) return { seq };
    links.set(seq, chain);
  }
  return null;
}
