/**
 * 32 bits of a text (FNV-1a, Fowler, Noll & Vo; RFC 9923): the same on every machine. For names and chance, never for what must not be guessed.
 *
 * @returns a whole number, 0 to 2^32 − 1. Check values, RFC 9923: fnv1a("") is 0x811c9dc5, fnv1a("a") 0xe40c292c, fnv1a("foobar") 0xbf9cf968.
 */
export function fnv1a(text: string): number {
  let hash = 0x811c9dc5;
  for (const byte of new TextEncoder().encode(text)) hash = Math.imul(hash ^ byte, 0x01000193);
  return hash >>> 0;
}
