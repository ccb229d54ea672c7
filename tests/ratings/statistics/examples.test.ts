import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";

/** Every `@example` beside the statistics says what the code does. */
const folders = [
  "core/statistics",
  "core/panel/agreement",
  "core/panel/outliers",
  "core/panel/components",
];
const root = join(import.meta.dirname, "../../../src");

const files = folders.flatMap((folder) =>
  readdirSync(join(root, folder)).map((name) => join(root, folder, name)),
);
const modules = await Promise.all(files.map((file) => import(file) as Promise<object>));
const everything: Record<string, unknown> = Object.assign({}, ...modules);

const blocksOf = (file: string) => [
  ...readFileSync(file, "utf8").matchAll(/@example\n([\s\S]*?)\*\//g),
];
const withExamples = files.filter((file) => blocksOf(file).length > 0);

const near = (wanted: unknown): unknown =>
  Array.isArray(wanted)
    ? wanted.map(near)
    : typeof wanted === "number"
      ? expect.closeTo(wanted, 12)
      : wanted;

describe.each(withExamples)("examples of %s", (file) => {
  const blocks = blocksOf(file);
  it.each(blocks.map(([, text = ""]) => text.replace(/^ *\* ?/gm, "").trim()))("%s", (text) => {
    const body = text.replace(
      /^(.*?);? *\/\/ => (.*)$/gm,
      (_, expression: string, value: string) => `expectEqual((${expression}), (${value}));`,
    );
    let checked = 0;
    const expectEqual = (found: unknown, wanted: unknown) => {
      checked++;
      expect(found).toEqual(near(wanted));
    };
    new Function("expectEqual", ...Object.keys(everything), body)(
      expectEqual,
      ...Object.values(everything),
    );
    expect(checked).toBeGreaterThan(0);
  });
});
