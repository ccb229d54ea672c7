import { X509Certificate } from "node:crypto";
import { readdirSync } from "node:fs";
import { FaultError } from "../../book/faults.ts";
import { keepPair, readPair } from "./kept-pair.ts";
import { makeAuthority, type Pair } from "./make-certificates.ts";

/** An authority and a server certificate are made anew this long before their end. */
export const RENEW_BEFORE_MS = 30 * 24 * 60 * 60 * 1000;

/** What whoever runs the hub must be told of the authority. */
export type AuthorityNotice =
  /** The one that tablets trusted ends, or has ended: there is a new one, which they must trust once more. */
  | { kind: "renewed"; name: string; until: string }
  /** It begins later than this machine's clock says: one of the two was wrong. */
  | { kind: "ahead"; name: string; from: string };

export interface Authority {
  pair: Pair;
  notice?: AuthorityNotice;
}

/**
 * The authority of this hub, which tablets trust once: the newest that has begun and does not end soon. Made where there is none; where the last one
 * ends, another is made, and the old one stays beside it, so that a start with a wrong clock costs nobody's trust.
 * @throws FaultError TRUST_BROKEN where one lies there that is not whole: it is not replaced without a word.
 */
export async function keptAuthority(folder: string, nowMs: number): Promise<Authority> {
  const kept = namesIn(folder).flatMap((name) => {
    const found = readPair(folder, name);
    if (found.kind === "broken" && name === CURRENT && !isUnused(folder, found.why))
      throw new FaultError({ code: "TRUST_BROKEN", with: { folder, why: found.why } });
    return found.kind === "whole" ? [{ name, ...datesOf(found.pair) }] : [];
  });
  const good = kept
    .filter(({ from, until }) => from <= nowMs && until - nowMs > RENEW_BEFORE_MS)
    .sort((a, b) => b.from - a.from)[0];
  if (good) {
    inFront(folder, good.pair);
    return { pair: good.pair };
  }
  const ahead = kept.filter(({ from }) => from > nowMs).sort((a, b) => a.from - b.from)[0];
  if (ahead) {
    inFront(folder, ahead.pair);
    return {
      pair: ahead.pair,
      notice: { kind: "ahead", name: ahead.called, from: day(ahead.from) },
    };
  }
  const ended = kept.find(({ name }) => name === CURRENT) ?? kept[0];
  const made = await makeAuthority(nowMs);
  inFront(folder, made);
  return ended
    ? { pair: made, notice: { kind: "renewed", name: ended.called, until: day(ended.until) } }
    : { pair: made };
}

const CURRENT = "authority";

/** The current one first, and those that were set aside. */
function namesIn(folder: string): string[] {
  const found = readdirSync(folder).flatMap((file) => {
    const [, name] = /^(authority(?:-\d+)?)\.(?:crt|key)$/.exec(file) ?? [];
    return name ? [name] : [];
  });
  return [...new Set(found)].sort();
}

/** A key whose certificate never came, and nothing was signed with: the first start was cut off. */
const isUnused = (folder: string, why: string): boolean =>
  why === "alone" && readPair(folder, "server").kind === "none";

/** Puts an authority where it is looked for first. The one that was there is copied aside before, so that a kill at any moment leaves both. */
function inFront(folder: string, pair: Pair): void {
  const before = readPair(folder, CURRENT);
  if (before.kind === "whole" && before.pair.certificate !== pair.certificate) {
    const names = namesIn(folder).filter((name) => name !== CURRENT);
    const isAside = names.some((name) => {
      const kept = readPair(folder, name);
      return kept.kind === "whole" && kept.pair.certificate === before.pair.certificate;
    });
    if (!isAside) keepPair(folder, `${CURRENT}-${names.length + 1}`, before.pair);
  }
  if (before.kind !== "whole" || before.pair.certificate !== pair.certificate)
    keepPair(folder, CURRENT, pair);
}

function datesOf(pair: Pair) {
  const read = new X509Certificate(pair.certificate);
  const [from, until] = [Date.parse(read.validFrom), Date.parse(read.validTo)];
  return { pair, from, until, called: read.subject.replace(/^CN=/, "") };
}
const day = (ms: number): string => new Date(ms).toISOString().slice(0, 10);
