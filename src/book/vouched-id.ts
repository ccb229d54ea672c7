import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import type { AnyEntry } from "./entry.ts";
import type { SideRecordId, TextRef } from "./identity.ts";

/** UUID of version 8 (RFC 9562, section 5.8): the variant's two bits, and what the writer puts in the other 122. */
const ofVersion8 = /^[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;
/** Where version and variant stand among the 32 digits. */
const VERSION = 12;
const VARIANT = 16;

/**
 * Whether an id is of the form that vouches: nobody can take it before the one it belongs to brings it, however early it was heard of.
 * A book of rules 3 takes no other; see rules.ts.
 */
export const isOfVouchingForm = (id: string): boolean => ofVersion8.test(id);

/**
 * The id of an entry: 60 bits of chance, then 62 of SHA-256 (FIPS 180-4) over them and where the entry stands. Whoever writes under another
 * device's name is refused at the door, so nobody else has this place.
 *
 * @param chance  a UUID of version 7 (RFC 9562): its time and chance before the variant are kept, so that ids stay roughly ordered
 */
export function vouchedEntryId(
  chance: string,
  { grading, device, n }: Pick<AnyEntry, "grading" | "device" | "n">,
): AnyEntry["id"] {
  const digits = chance.replaceAll("-", "");
  const free = `${digits.slice(0, VERSION)}8${digits.slice(VERSION + 1, VARIANT)}`;
  return uuid(free + digest([free, grading, device, n])) as AnyEntry["id"];
}

/** Whether an entry's id is one of its own place. False for ids of before. */
export const isVouchedEntry = (entry: AnyEntry): boolean =>
  isOfVouchingForm(entry.id) && entry.id === vouchedEntryId(entry.id, entry);

/**
 * The id of a name or text: 122 bits of SHA-256 over all it is, so that no other record can stand under it, nor the same under somebody else's name.
 * @param digest  of its salt and body, as entries refer to it: what chance there is lies in the salt
 */
export function vouchedSideId({
  grading,
  about,
  kind,
  digest: of,
}: Pick<AnyEntry, "grading"> & { about: string; kind: string } & Pick<
    TextRef,
    "digest"
  >): SideRecordId {
  const whole = digest([grading, about, kind, of]);
  return uuid(`${whole.slice(0, VERSION)}8${whole.slice(VERSION + 1)}`) as SideRecordId;
}

const digest = (parts: readonly (string | number)[]): string =>
  bytesToHex(sha256(utf8ToBytes(JSON.stringify(parts)))).slice(0, 32);

/** Of 32 digits or more, with the variant's bits put in. */
function uuid(digits: string): string {
  const variant = ((Number.parseInt(digits.charAt(VARIANT), 16) & 0b0011) | 0b1000).toString(16);
  const whole = digits.slice(0, VARIANT) + variant + digits.slice(VARIANT + 1, 32);
  return [0, 8, 12, 16, 20].map((from, at, all) => whole.slice(from, all[at + 1] ?? 32)).join("-");
}
