import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import canonicalize from "canonicalize";
import type { TextRef } from "../book/identity.ts";
import type { SideRecord } from "../book/side-record.ts";
import { vouchedSideId } from "../book/vouched-id.ts";

const digests = new WeakMap<object, string>();
/** SHA-256, hex, over the salt and the RFC 8785 canonical JSON of the body; reckoned once of each record, however many lines refer to it. */
export function sideDigest(record: Pick<SideRecord, "salt" | "body">): string {
  let digest = digests.get(record);
  if (digest === undefined) {
    digest = bytesToHex(sha256(utf8ToBytes(record.salt + canonicalize(record.body))));
    digests.set(record, digest);
  }
  return digest;
}

/** A side record and the reference an entry carries. Works without a secure context: no WebCrypto digest is needed. */
export function makeSideRecord(
  about: Pick<SideRecord, "grading" | "about" | "kind"> & { body: Record<string, unknown> },
  chance: { random: (bytes: number) => Uint8Array },
): { record: SideRecord; ref: TextRef } {
  const salted = { ...about, salt: bytesToHex(chance.random(16)) };
  const digest = sideDigest(salted);
  const id = vouchedSideId({ ...about, digest });
  return { record: { ...salted, id }, ref: { id, digest } };
}
