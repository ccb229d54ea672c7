import { readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";

/** One line `call; // => value` of a docstring, or `call;` with `// => value` on the next. */
interface Example {
  file: string;
  /** Lines above the call that only prepare. */
  before: string;
  call: string;
  value: string;
}

const src = fileURLToPath(new URL("../../src", import.meta.url));
const files = ["ratings", "book", "belt-test"].flatMap((folder) =>
  readdirSync(join(src, folder), { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".ts"))
    .map((name) => join(folder, name)),
);

function examplesOf(file: string): Example[] {
  const text = readFileSync(join(src, file), "utf8");
  const blocks = [...text.matchAll(/\/\*\*([\s\S]*?)\*\/\s*export /g)].map(
    ([, block = ""]) => block,
  );
  return blocks.flatMap((block) => {
    const [, after] = block.split("@example");
    if (after === undefined) return [];
    const lines = after
      .replace(/^\s*\* ?/gm, "")
      .replace(/;\s*\n\s*\/\/ =>/g, "; // =>")
      .split("\n");
    const prepared: string[] = [];
    return lines.flatMap((line) => {
      const [, call, value] = /^(.*?);\s*\/\/ => (.*)$/.exec(line.trim()) ?? [];
      if (call && value) return [{ file, call, value, before: prepared.join("\n") }];
      if (/^[^/].*;$/.test(line.trim())) prepared.push(line.trim());
      return [];
    });
  });
}

const value = (code: string, before: string, names: Record<string, unknown>): unknown =>
  new Function(...Object.keys(names), `${before}\nreturn (${code});`)(...Object.values(names));

/** What an example may name: what its file exports, and what the files beside it do. */
async function namesBeside(file: string): Promise<Record<string, unknown>> {
  const folder = join(src, dirname(file));
  const beside = readdirSync(folder).filter((name) => name.endsWith(".ts"));
  const modules = await Promise.all(beside.map((name) => import(join(folder, name))));
  return Object.assign({}, ...modules, await import(join(src, file)));
}

/** Numbers inside lists and records to twelve digits: 0.1 + 0.2 is shown as 0.3. */
function rounded(found: unknown): unknown {
  if (typeof found === "number") return Number(found.toPrecision(12));
  if (Array.isArray(found)) return found.map(rounded);
  if (found !== null && Object.getPrototypeOf(found) === Object.prototype)
    return Object.fromEntries(
      Object.entries(found as object).map(([key, one]) => [key, rounded(one)]),
    );
  return found;
}

// A docstring that contradicts its code is worse than none, so every example of the pure folders is run.
describe("the examples in the docstrings", () => {
  const examples = files.flatMap(examplesOf);

  it("are found", () => {
    expect(examples.length).toBeGreaterThan(20);
  });

  it.each(examples)("$file: $call", async ({ file, call, before, value: expected }) => {
    const names = await namesBeside(file);
    const found = value(call, before, names);
    if (typeof found === "number" && /^-?\d+(\.\d+)?$/.test(expected)) {
      // To the digits shown, and a whole number to nine: 3 is not 3.2.
      const shown = expected.split(".")[1]?.length ?? 9;
      expect(found).toBeCloseTo(Number(expected), Math.min(shown, 12));
    } else expect(rounded(found)).toEqual(rounded(value(expected, before, names)));
  });

  it("are all of a form that can be run", () => {
    const unread = files.filter((file) => {
      const text = readFileSync(join(src, file), "utf8");
      const exported = [...text.matchAll(/\/\*\*([\s\S]*?)\*\/\s*export (async )?function/g)];
      const told = exported.filter(([, block = ""]) => block.includes("@example")).length;
      return told > 0 && examplesOf(file).length === 0;
    });
    expect(unread).toEqual([]);
  });
});
