import { hmac } from "@noble/hashes/hmac.js";
import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import type { DeviceId } from "../../book/identity.ts";
import { orderedText } from "../../book/ordered-text.ts";
import type { ScorebookFile } from "./scorebook-file.ts";

/** What tells a hub that a tablet's file comes from that tablet: nobody else knows what it was let in with. */
export interface FileSeal {
  device: DeviceId;
  /** HMAC-SHA-256 (RFC 2104), hex, of what the file holds. */
  mac: string;
}
type Held = Omit<ScorebookFile, "format" | "version" | "heads" | "chain" | "seal">;

/** SHA-256, hex, of what a file holds: its entries and records in the order they lie in, and what is said of other files. Heads are signed by themselves. */
export const heldInFile = ({
  grading,
  person,
  entries,
  sides,
  passedOver,
  filesSince,
}: Held): string => {
  const beside = [
    ...(passedOver ? [passedOver] : []),
    ...(filesSince === undefined ? [] : [filesSince]),
  ];
  return digestOf(orderedText([grading, person ?? null, entries, sides, ...beside]));
};

/** @param held  as `heldInFile` says. @param token  what lets this device in at its hub */
export const fileSeal = (held: string, device: DeviceId, token: string): FileSeal => ({
  device,
  mac: macOf(held, digestOf(token)),
});

/** Whether whoever knows the token made the seal. @param tokenHash  SHA-256 of the token, hex, which is what a hub's door keeps */
export const isSealedWith = (held: string, { mac }: FileSeal, tokenHash: string): boolean =>
  mac === macOf(held, tokenHash);

const macOf = (held: string, tokenHash: string): string =>
  bytesToHex(hmac(sha256, utf8ToBytes(tokenHash), utf8ToBytes(held)));
const digestOf = (text: string): string => bytesToHex(sha256(utf8ToBytes(text)));
