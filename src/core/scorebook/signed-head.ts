import * as z from "zod/mini";
import { GradingId } from "../identity.ts";

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

/** Heads with one more: oldest first, one for a place, the newest few. A second one for a place is kept beside the first where it says otherwise: that is what they are for. */
export function withHead(heads: readonly SignedHead[], head: SignedHead): SignedHead[] {
  const isKnown = heads.some(({ seq, chain }) => seq === head.seq && chain === head.chain);
  if (isKnown) return [...heads];
  return [...heads, head].sort((a, b) => a.seq - b.seq).slice(-KEPT);
}
