import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { faultCodes } from "../../src/book/faults.ts";
import words from "../../src/words/en/faults.json" with { type: "json" };

const root = new URL("../../", import.meta.url);
const read = (name: string) => readFileSync(new URL(name, root), "utf8");

describe("the documents", () => {
  it("list every fault code with the sentence a person reads", () => {
    const rows = [...read("DEVELOPERS.md").matchAll(/^\| `([A-Z_]+)` \| (.*) \|$/gm)].map(
      ([, code = "", sentence]) => [code, sentence],
    );
    expect(rows).toEqual(faultCodes.map((code) => [code, words[`fault.${code}`]]));
  });

  it("name no fault that is never raised", () => {
    const src = fileURLToPath(new URL("src", root));
    const code = readdirSync(src, { recursive: true, encoding: "utf8" })
      .filter((name) => /\.tsx?$/.test(name) && name !== join("book", "faults.ts"))
      .map((name) => readFileSync(join(src, name), "utf8"))
      .join("\n");
    expect(faultCodes.filter((one) => !code.includes(`"${one}"`))).toEqual([]);
  });

  it("point only at files that are there", () => {
    for (const name of ["README.md", "DEVELOPERS.md"]) {
      const links = [...read(name).matchAll(/\]\((?!https?:)([^)#]+)\)/g)].map(
        ([, path = ""]) => path,
      );
      const paths = [
        ...read(name).matchAll(/`((?:src|tests|scoring-rubrics|demo-data)\/[\w./-]+)`/g),
      ].map(([, path = ""]) => path);
      const missing = [...links, ...paths].filter(
        (path) => !existsSync(fileURLToPath(new URL(path, root))),
      );
      expect(missing).toEqual([]);
    }
  });
});
