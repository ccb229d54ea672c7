import { createPrivateKey, createPublicKey, type KeyObject, sign, verify } from "node:crypto";
import type { GradingId } from "../../book/identity.ts";
import { headMessage, type SignedHead } from "../../book/signed-head.ts";
import { hashOf } from "./secrets.ts";

/** Signs where a chain stands, with the hub's own key (Ed25519, RFC 8032). */
export class HeadSigner {
  readonly #private: KeyObject;
  readonly #key: string;

  /** @param privateKey PKCS #8, PEM. */
  constructor(privateKey: string) {
    this.#private = createPrivateKey(privateKey);
    const der = createPublicKey(this.#private).export({ type: "spki", format: "der" });
    this.#key = der.toString("base64");
  }

  sign(grading: GradingId, seq: number, chain: string): SignedHead {
    const head = { grading, seq, chain };
    const signature = sign(null, Buffer.from(headMessage(head)), this.#private).toString("base64");
    return { ...head, key: this.#key, signature };
  }
}

/** What the hub that signed a head is known by; undefined where the signature is not good. */
export function signerOf(head: SignedHead): string | undefined {
  try {
    const key = createPublicKey({
      key: Buffer.from(head.key, "base64"),
      format: "der",
      type: "spki",
    });
    const isGood = verify(
      null,
      Buffer.from(headMessage(head)),
      key,
      Buffer.from(head.signature, "base64"),
    );
    return isGood ? hashOf(key.export({ type: "spki", format: "pem" }).toString()) : undefined;
  } catch {
    return undefined;
  }
}
