import { readFileSync } from "node:fs";
import { expect, it } from "vitest";
import { answersDigest } from "./answers.ts";

it("what the oracle has written down is the last that docs/oracle.md gives a reason for", () => {
  const text = readFileSync(new URL("../../docs/oracle.md", import.meta.url), "utf8");
  const named = [...text.matchAll(/^\|.*\| `([0-9a-f]{16})` \|$/gm)].map(([, digest]) => digest);
  expect(named.at(-1)).toBe(answersDigest());
});
