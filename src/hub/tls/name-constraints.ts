import { isIPv4 } from "node:net";
import { privateNames, privateRanges } from "./hall-names.ts";

/** id-ce-nameConstraints, RFC 5280 section 4.2.1.10. */
export const NAME_CONSTRAINTS = "2.5.29.30";
const SEQUENCE = 0x30;
const PERMITTED = 0xa0;
const DNS_NAME = 0x82;
const IP_ADDRESS = 0x87;

/** What the hub's authority may vouch for, as the DER of a NameConstraints: private addresses, `.local`, `localhost`; nothing else. */
export function hallConstraints(): Uint8Array<ArrayBuffer> {
  const subtrees = [
    ...privateNames.map((name) => der(DNS_NAME, Buffer.from(name, "ascii"))),
    ...privateRanges.map(({ address, prefix }) => {
      const bytes = addressBytes(address);
      return der(IP_ADDRESS, Buffer.concat([bytes, maskBytes(bytes.length, prefix)]));
    }),
  ].map((base) => der(SEQUENCE, base));
  return new Uint8Array(der(SEQUENCE, der(PERMITTED, Buffer.concat(subtrees))));
}

/** Tag, length, content; long enough for what is said here. */
function der(tag: number, content: Buffer): Buffer {
  const { length } = content;
  const size =
    length < 0x80 ? [length] : length < 0x100 ? [0x81, length] : [0x82, length >> 8, length & 0xff];
  return Buffer.concat([Buffer.from([tag, ...size]), content]);
}

function addressBytes(address: string): Buffer {
  if (isIPv4(address)) return Buffer.from(address.split(".").map(Number));
  const [head = "", tail = ""] = address.split("::");
  const words = (part: string) =>
    part
      .split(":")
      .filter(Boolean)
      .map((word) => Number.parseInt(word, 16));
  const [first, last] = [words(head), words(tail)];
  const bytes = Buffer.alloc(16);
  for (const [at, word] of first.entries()) bytes.writeUInt16BE(word, at * 2);
  for (const [at, word] of last.entries()) bytes.writeUInt16BE(word, 16 - (last.length - at) * 2);
  return bytes;
}

const maskBytes = (length: number, prefix: number): Buffer =>
  Buffer.from(
    Array.from({ length }, (_, at) => 0xff & ~(0xff >> Math.min(8, Math.max(0, prefix - at * 8)))),
  );
