import { createHash } from "node:crypto";
import canonicalize from "canonicalize";

/** The link before the first entry of a grading. */
export const FIRST_LINK = "0".repeat(64);

/** One text for one value, whatever the order of its keys (RFC 8785). */
export function canonicalText(value: unknown): string {
  const text = canonicalize(value);
  if (text === undefined) throw new RangeError("canonicalText: not a JSON value");
  return text;
}

/** Hex SHA-256 of the salt's hex text followed by the entry's canonical JSON. The salt keeps an erased body from being guessed. */
export function entryDigest(salt: string, canonicalEntry: string): string {
  return sha256(salt + canonicalEntry);
}

/** Hex SHA-256 over the previous link and this entry's digest, both as hex text. */
export function nextLink(previous: string, digest: string): string {
  return sha256(previous + digest);
}

const sha256 = (text: string): string => createHash("sha256").update(text).digest("hex");
