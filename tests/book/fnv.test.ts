import { expect, it } from "vitest";
import { fnv1a } from "../../src/book/fnv.ts";

// RFC 9923, section 8.2 (test vectors of FNV-1a, 32 bits); from memory.
it.each([
  ["", 0x811c9dc5],
  ["a", 0xe40c292c],
  ["foobar", 0xbf9cf968],
])("is what the standard says of “%s”", (text, hash) => {
  expect(fnv1a(text)).toBe(hash);
});
