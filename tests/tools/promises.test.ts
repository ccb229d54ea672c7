import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";

const root = fileURLToPath(new URL("../..", import.meta.url));
const under = (folder: string, ending: RegExp) =>
  readdirSync(join(root, folder), { recursive: true, encoding: "utf8" })
    .filter((name) => ending.test(name))
    .map((name) => readFileSync(join(root, folder, name), "utf8"));

const promised = under("src", /PROMISES\.md$/).flatMap((text) =>
  [...text.matchAll(/^- \*\*([A-Z]\d+)\*\*/gm)].map(([, id = ""]) => id),
);
const kept = under("tests", /\.tsx?$/).flatMap((text) =>
  [...text.matchAll(/["'`]\[([A-Z]\d+(?:, ?[A-Z]\d+)*)\] /g)].flatMap(([, ids = ""]) =>
    ids.split(/,\s*/),
  ),
);

describe("what the parts promise", () => {
  it("is each kept by a test", () => {
    expect(promised.length).toBeGreaterThan(30);
    expect(promised.filter((id) => !kept.includes(id))).toEqual([]);
  });
  it("is promised once, and no test keeps a promise that nobody made", () => {
    expect(promised.filter((id, index) => promised.indexOf(id) !== index)).toEqual([]);
    expect([...new Set(kept)].filter((id) => !promised.includes(id))).toEqual([]);
  });
});
