import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { faultCodes } from "../../src/book/faults.ts";
import onTheLine from "../../src/words/en/faults.json" with { type: "json" };
import ofTerminal from "../../src/words/en/faults-of-terminal.json" with { type: "json" };

const root = new URL("../../", import.meta.url);
const docs = readdirSync(new URL("docs", root))
  .filter((name) => name.endsWith(".md"))
  .map((name) => `docs/${name}`);
const all = ["README.md", "DEVELOPERS.md", ...docs];
const read = (name: string) => readFileSync(new URL(name, root), "utf8");

const words = { ...onTheLine, ...ofTerminal };

describe("the documents", () => {
  it("list every fault code with the sentence a person reads", () => {
    const rows = [...read("docs/faults.md").matchAll(/^\| `([A-Z_]+)` \| (.*) \|$/gm)].map(
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
    for (const name of all) {
      const links = [...read(name).matchAll(/\]\((?!https?:)([^)#]+)\)/g)].map(
        ([, path = ""]) => path,
      );
      const paths = [
        ...read(name).matchAll(/`((?:src|tests|scoring-rubrics|demo-data)\/[\w./-]+)`/g),
      ].map(([, path = ""]) => path);
      const there = [
        ...links.map((link) => new URL(link, new URL(name, root))),
        ...paths.map((path) => new URL(path, root)),
      ];
      const missing = there.map((one) => fileURLToPath(one)).filter((one) => !existsSync(one));
      expect(missing).toEqual([]);
    }
  });

  it("are read without scrolling sideways, and the README in a few minutes", () => {
    for (const name of all) {
      const long = read(name)
        .split("\n")
        .filter((line) => line.length > 120 && !line.startsWith("|"));
      expect([name, long]).toEqual([name, []]);
    }
    const words = read("README.md")
      .replace(/\]\([^)]*\)/g, "]")
      .match(/\p{L}[\p{L}’'-]*/gu);
    expect(words?.length).toBeLessThan(1000);
  });
});
