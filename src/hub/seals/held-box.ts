import { createCipheriv, createDecipheriv, createHmac, hkdfSync } from "node:crypto";
import { deflateRawSync, inflateRawSync } from "node:zlib";
import { type EntryOf, readEntry } from "../../belt-test/scorebook/entry.ts";
import type { AnyEntry } from "../../book/entry.ts";
import { canonicalText } from "../store/chain.ts";

/** Full boxes of so many bytes tell nothing of how large the numbers in them are. */
const BLOCK = 2_048;
/** What comes out of a box at most: a hall's whole plan. Bytes. */
const MOST = 4_000_000;
const [IV, TAG] = [12, 16];

/** What the hub said it held of a judge, whose word it is left out. */
type HeldWord = Pick<EntryOf<"held">, "grading"> & { body: Omit<EntryOf<"held">["body"], "vouch"> };

/**
 * What only this hub can do, by a key made of its own: it shuts away what others keep for it, and knows its own word again, also when it was put back.
 *
 * Shut away is what it held where the marks are closed (AES-256-GCM, NIST SP 800-38D) with a key made of the hub's own (HKDF, RFC 5869):
 * the chief's device keeps it and cannot read it, and a hub put back from an older copy, which has the same key, can.
 */
export class HeldBox {
  readonly #key: Buffer;

  /** @param privateKey  the hub's own, as it lies in its store */
  constructor(privateKey: string) {
    this.#key = Buffer.from(hkdfSync("sha256", privateKey, "", "evenhand: what was held", 32));
  }

  close(entries: readonly AnyEntry[]): string {
    const content = deflateRawSync(JSON.stringify(entries));
    const full = Buffer.alloc(Math.ceil((content.length + 4) / BLOCK) * BLOCK);
    full.writeUInt32BE(content.length);
    content.copy(full, 4);
    // Out of what is shut away, whose ids never come twice: the same book is the same to the last byte.
    const iv = createHmac("sha256", this.#key).update(full).digest().subarray(0, IV);
    const cipher = createCipheriv("aes-256-gcm", this.#key, iv);
    const shut = Buffer.concat([cipher.update(full), cipher.final()]);
    return Buffer.concat([iv, cipher.getAuthTag(), shut]).toString("base64");
  }

  /** By which this hub knows again what it said it held, whoever gives it back: a code over all of it (HMAC-SHA-256, RFC 2104). */
  vouchFor({ grading, body: { of, judge, candidate, section, basis, late } }: HeldWord): string {
    const said = canonicalText({
      grading,
      of,
      judge,
      candidate,
      section,
      basis,
      ...(late === true && { late }),
    });
    return this.#codeOf(said).slice(0, 32);
  }

  /**
   * What a device is given for a line that is on the hub's disk: a code over all of it (HMAC-SHA-256, RFC 2104). A hub that was put back from an older copy
   * knows by it what the lost one had; what that changes is said in `isKeptAgain`.
   */
  receiptFor(entry: AnyEntry): string {
    return this.#codeOf(`receipt ${canonicalText(entry)}`).slice(0, 32);
  }
  /** By which this hub knows again how far it has let somebody read in a feed, whatever it has lost since. */
  bookmarkOf(place: { feed: string; cursor: number; link: string }): string {
    return this.#codeOf(`bookmark ${canonicalText(place)}`).slice(0, 22);
  }
  #codeOf(text: string): string {
    return createHmac("sha256", this.#key).update(text).digest("base64url");
  }

  /** @returns undefined for what this hub did not shut, or what was changed since. */
  open(box: string): AnyEntry[] | undefined {
    try {
      const bytes = Buffer.from(box, "base64");
      const opening = createDecipheriv("aes-256-gcm", this.#key, bytes.subarray(0, IV), {
        authTagLength: TAG,
      });
      opening.setAuthTag(bytes.subarray(IV, IV + TAG));
      const full = Buffer.concat([opening.update(bytes.subarray(IV + TAG)), opening.final()]);
      const content = full.subarray(4, 4 + full.readUInt32BE());
      const text = inflateRawSync(content, { maxOutputLength: MOST }).toString();
      return (JSON.parse(text) as unknown[]).flatMap((json) => {
        const read = readEntry(json);
        return read.ok ? [read.entry] : [];
      });
    } catch {
      return undefined;
    }
  }
}
