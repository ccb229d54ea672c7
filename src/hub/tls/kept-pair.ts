import { createPrivateKey, X509Certificate } from "node:crypto";
import { existsSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Pair } from "./make-certificates.ts";

/** What is wrong with a pair that lies there. `alone`: a key without its certificate; `keyless`: a certificate without its key. */
type PairBreak = "alone" | "keyless" | "unreadable" | "misfit";
export type KeptPair =
  | { kind: "none" }
  | { kind: "whole"; pair: Pair }
  | { kind: "broken"; why: PairBreak };

const parts = ["key", "crt"] as const;

/**
 * A certificate and its key as they lie in a folder. Where a process was killed between putting the one and the other in its place,
 * what it meant to put is beside it still, and is put there now.
 */
export function readPair(folder: string, name: string): KeptPair {
  const key = textOf(join(folder, `${name}.key`));
  const certificate = textOf(join(folder, `${name}.crt`));
  const found = judged(key, certificate);
  if (found.kind !== "broken") return found;
  const meant = textOf(join(folder, `${name}.crt.new`));
  if (judged(key, meant).kind !== "whole") return found;
  renameSync(join(folder, `${name}.crt.new`), join(folder, `${name}.crt`));
  return judged(key, meant);
}

/** Both are on the disk before either is in its place, so that no kill leaves less than one whole pair. */
export function keepPair(folder: string, name: string, { certificate, key }: Pair): void {
  writeFileSync(join(folder, `${name}.crt.new`), certificate, { mode: 0o644, flush: true });
  writeFileSync(join(folder, `${name}.key.new`), key, { mode: 0o600, flush: true });
  for (const part of parts)
    renameSync(join(folder, `${name}.${part}.new`), join(folder, `${name}.${part}`));
}

function judged(key: string | undefined, certificate: string | undefined): KeptPair {
  if (key === undefined && certificate === undefined) return { kind: "none" };
  if (certificate === undefined) return { kind: "broken", why: "alone" };
  if (key === undefined) return { kind: "broken", why: "keyless" };
  try {
    const isIts = new X509Certificate(certificate).checkPrivateKey(createPrivateKey(key));
    return isIts
      ? { kind: "whole", pair: { certificate, key } }
      : { kind: "broken", why: "misfit" };
  } catch {
    return { kind: "broken", why: "unreadable" };
  }
}

const textOf = (file: string): string | undefined =>
  existsSync(file) ? readFileSync(file, "utf8") : undefined;
