import { createHash, createPrivateKey } from "node:crypto";
import {
  type ChainLink,
  type ScorebookFile,
  scorebookFile,
} from "../../src/belt-test/scorebook/scorebook-file.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { GradingId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { HeadSigner } from "../../src/hub/seals/head-signer.ts";
import { canonicalText, entryDigest, FIRST_LINK, nextLink } from "../../src/hub/store/chain.ts";

/** What stands before the 32 bytes of an Ed25519 key in PKCS #8 (RFC 8410, section 7). */
const BEFORE_KEY = "302e020100300506032b657004220420";

/** A key made of a name: nothing is to be kept from anybody, and every playing signs alike. */
const signer = new HeadSigner(
  createPrivateKey({
    key: Buffer.from(BEFORE_KEY + hex("the oracle's hub"), "hex"),
    format: "der",
    type: "pkcs8",
  })
    .export({ type: "pkcs8", format: "pem" })
    .toString(),
);

/** Entries in the order in which a hub took them, as that hub would export them. One salt a book keeps the archives small. */
export function asFile(
  grading: GradingId,
  entries: readonly AnyEntry[],
  sides: readonly SideRecord[],
): ScorebookFile {
  const salt = hex(grading).slice(0, 32);
  const chain: ChainLink[] = [];
  let link = FIRST_LINK;
  for (const entry of entries) {
    link = nextLink(link, entryDigest(salt, canonicalText(entry)));
    chain.push({ id: entry.id, salt, link });
  }
  const heads = [signer.sign(grading, chain.length, link)];
  return scorebookFile(grading, entries, sides, undefined, { heads, chain });
}

function hex(name: string): string {
  return createHash("sha256").update(name).digest("hex");
}
