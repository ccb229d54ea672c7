import { readFileSync } from "node:fs";
import * as z from "zod/mini";
import { SignedHead } from "../core/scorebook/signed-head.ts";
import { signerOf } from "../hub/head-signer.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { Trouble } from "./trouble.ts";

/** What became of a head that a tablet has kept. `forged`: the signature is not good; `other-hub`: another hub signed it; `rewritten`: the record went another way since. */
export interface CheckedHead {
  grading: string;
  seq: number;
  result: "on-the-chain" | "rewritten" | "forged" | "other-hub";
}

/**
 * Whether what tablets kept of a hub's record still is on it.
 * @param file  a scorebook file that a tablet saved. @param fingerprint  what the hub is known by.
 */
export async function checkedHeads(
  store: ScorebookStore,
  file: string,
  fingerprint: string,
): Promise<CheckedHead[]> {
  const checked: CheckedHead[] = [];
  for (const head of headsIn(file)) {
    const { grading, seq, chain } = head;
    const [line] = await store.read(grading, seq - 1, 1);
    const signer = signerOf(head);
    const result =
      signer === undefined
        ? "forged"
        : signer !== fingerprint
          ? "other-hub"
          : line?.chain === chain
            ? "on-the-chain"
            : "rewritten";
    checked.push({ grading, seq, result });
  }
  return checked;
}

function headsIn(file: string): SignedHead[] {
  let json: unknown;
  try {
    json = JSON.parse(readFileSync(file, "utf8"));
  } catch {
    throw new Trouble([{ say: "verify-heads-file", file }]);
  }
  const read = z.object({ heads: z.array(SignedHead) }).safeParse(json);
  if (!read.success || read.data.heads.length === 0)
    throw new Trouble([{ say: "verify-heads-none", file }]);
  return read.data.heads;
}
