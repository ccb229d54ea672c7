import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import canonicalize from "canonicalize";
import type { TestPack } from "../belt-test/scorebook/test-pack.ts";

/** A pack with its check sum: a file that lost or changed anything on the way is known by it. */
export const sealedPack = (pack: Omit<TestPack, "sum">): TestPack & { sum: string } => ({
  ...pack,
  sum: sumOf(pack),
});

/**
 * How a pack stands to its check sum, read from what the file says and not from what a reader made of it.
 * `unsealed`: of the first form, which had none.
 */
export function sealOfPack(json: unknown): "whole" | "changed" | "unsealed" {
  const { sum, ...rest } = json as { sum?: unknown; version?: unknown };
  if (sum === undefined && rest.version === 1) return "unsealed";
  try {
    return sum === sumOf(rest) ? "whole" : "changed";
  } catch {
    // What has no canonical form was not written by us.
    return "changed";
  }
}

/** What people read to each other, so that nobody puts another file in its place: "3f2a 90bc". */
export const spokenSum = (sum: string): string => `${sum.slice(0, 4)} ${sum.slice(4, 8)}`;

const sumOf = (pack: object): string => bytesToHex(sha256(utf8ToBytes(canonicalize(pack) ?? "")));
