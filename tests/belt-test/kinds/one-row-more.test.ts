import { execFile } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { expect, it } from "vitest";

const root = fileURLToPath(new URL("../../../", import.meta.url));
const tsc = join(root, "node_modules", "typescript", "bin", "tsc");

/** The files in which the compiler finds something in a copy of the pure folders. */
async function complaints(change: (file: (path: string) => string) => void): Promise<string[]> {
  const copy = mkdtempSync(join(tmpdir(), "evenhand-one-row-"));
  try {
    symlinkSync(join(root, "node_modules"), join(copy, "node_modules"));
    for (const folder of ["ratings", "book", "belt-test"])
      cpSync(join(root, "src", folder), join(copy, "src", folder), { recursive: true });
    const config = JSON.parse(readFileSync(join(root, "tsconfig.json"), "utf8"));
    writeFileSync(join(copy, "tsconfig.json"), JSON.stringify({ ...config, include: ["src"] }));
    change((path) => join(copy, "src", path));
    const said = await promisify(execFile)(process.execPath, [tsc, "--noEmit"], {
      cwd: copy,
    }).catch(({ stdout }: { stdout: string }) => ({ stdout }));
    const files = [...said.stdout.matchAll(/^src\/(\S+)\(\d+,\d+\): error/gm)].map(([, at]) => at);
    return [...new Set(files as string[])].sort();
  } finally {
    rmSync(copy, { recursive: true, force: true });
  }
}
const addTo = (path: string, after: string, more: string) => {
  const before = readFileSync(path, "utf8");
  expect(before).toContain(after);
  writeFileSync(path, before.replace(after, `${after}\n${more}`));
};

it("a kind is one row, and the compiler asks for what refuses it and what it changes, and for nothing else", async () => {
  const addRow = (file: (path: string) => string) =>
    addTo(file("belt-test/kinds/call.ts"), "  resumed: toTheFloor,", '  "horn-blown": toTheFloor,');
  expect(await complaints(addRow)).toEqual([
    "belt-test/permit/all-refusals.ts",
    // By name: where the line goes.
    "belt-test/permit/call.ts",
    "belt-test/scorebook/scorebook.ts",
  ]);
  const addAll = (file: (path: string) => string) => {
    addRow(file);
    addTo(file("belt-test/permit/call.ts"), "  resumed: nothing,", '  "horn-blown": nothing,');
    addTo(
      file("belt-test/scorebook/floor.ts"),
      "    called: (entry) => insertByAge(this.#calls, entry),",
      '    "horn-blown": () => undefined,',
    );
  };
  expect(await complaints(addAll)).toEqual([]);
}, 60_000);

it("what is so of a kind is so of its body, and who handles all such kinds is asked for one more", async () => {
  const horn = (is: string) => (file: (path: string) => string) =>
    addTo(
      file("belt-test/kinds/call.ts"),
      "  resumed: toTheFloor,",
      `  "horn-blown": kind({
        body: z.looseObject({ undoes: z.optional(EntryId) }),
        writers: ["caller"], readers: "anyone", most: USUAL, bearsOn: "nobody", is: ["${is}"],
      }),`,
    );
  const usual = [
    "belt-test/permit/all-refusals.ts",
    "belt-test/permit/call.ts",
    "belt-test/scorebook/scorebook.ts",
  ];
  expect(await complaints(horn("after-closing"))).toEqual(usual);
  expect(await complaints(horn("of-a-place"))).toContain("belt-test/kinds/call.ts");
  expect(await complaints(horn("undoing"))).toEqual([...usual, "belt-test/scorebook/undo.ts"]);
}, 90_000);
