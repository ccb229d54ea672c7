import { createHash, randomBytes, randomInt } from "node:crypto";

/** Letters and digits that nobody confuses when reading them across a hall: no 0 O, 1 I L, 5 S, 8 B, U V. */
const CLEAR = "ACDEFGHJKMNPQRTWXYZ234679";

const clearText = (length: number): string =>
  Array.from({ length }, () => CLEAR[randomInt(CLEAR.length)]).join("");

/** Opens a device's line; kept by the device alone. 256 bits. */
export const makeToken = (): string => randomBytes(32).toString("base64url");
/** Typed by everybody at the door. 25^6 is 244 million; tries are limited and the chief still admits by hand. */
export const makeJoinCode = (): string => clearText(6);
/** Typed once by the first chief. 25^16 is 74 bits. */
export const makeKey = (): string => (clearText(16).match(/.{4}/g) ?? []).join("-");

/** As people type it: any case, with or without spaces and hyphens. */
export const asTyped = (text: string): string => text.toUpperCase().replace(/[^A-Z0-9]/g, "");

/** What the hub keeps of a secret. The secrets are random and long, so a plain hash is enough. */
export const hashOf = (secret: string): string => createHash("sha256").update(secret).digest("hex");
