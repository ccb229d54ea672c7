import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";

/** By what a hub names a device that came in with this token, where it lists them: it opens nothing. */
export const deviceNameOf = (token: string): string => bytesToHex(sha256(utf8ToBytes(token)));
