import type { GradingId } from "../../book/identity.ts";
import type { SignedHead } from "../../book/signed-head.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { signerOf } from "./head-signer.ts";

/** What became of a head. `forged`: the signature is not good; `other-hub`: another hub signed it; `rewritten`: the record went another way since. */
export interface CheckedHead {
  grading: GradingId;
  seq: number;
  result: "on-the-chain" | "rewritten" | "forged" | "other-hub";
}

/**
 * Whether what a hub once signed still is on its record.
 * @param fingerprint  what the hub is known by.
 */
export async function checkedHeads(
  store: ScorebookStore,
  heads: readonly SignedHead[],
  fingerprint: string,
): Promise<CheckedHead[]> {
  const checked: CheckedHead[] = [];
  for (const head of heads) {
    const { grading, seq, chain } = head;
    const signer = signerOf(head);
    const isOwn = signer === fingerprint;
    const [line] = isOwn ? await store.read(grading, seq - 1, 1) : [];
    const result =
      signer === undefined
        ? "forged"
        : !isOwn
          ? "other-hub"
          : line?.chain === chain
            ? "on-the-chain"
            : "rewritten";
    checked.push({ grading, seq, result });
  }
  return checked;
}
