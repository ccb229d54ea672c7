import { readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, it } from "vitest";

const tablet = fileURLToPath(new URL("../../src/tablet", import.meta.url));
const sheets = readdirSync(tablet, { recursive: true, encoding: "utf8" }).filter((name) =>
  name.endsWith(".css"),
);

/** Classes that a style sheet gives a look of their own, wherever they stand; not those it only speaks of inside others. */
function classesIn(css: string): Set<string> {
  const plain = css.replace(/\/\*[\s\S]*?\*\//g, "");
  const selectors = [...plain.matchAll(/([^{}]+)\{/g)].flatMap(([, list = ""]) => list.split(","));
  return new Set(
    selectors.flatMap((selector) => {
      const own = /^\.([\w-]+)(?:\[[^\]]*\]|:[\w-]+(?:\([^)]*\))?)*$/.exec(selector.trim());
      return own?.[1] ? [own[1]] : [];
    }),
  );
}

// Style sheets stay when a screen is left: a judge's board lost its lower keys once a chief's board, of the same class, had been looked at.
it("gives each class its look in one folder only", () => {
  const places = new Map<string, Set<string>>();
  for (const sheet of sheets)
    for (const name of classesIn(readFileSync(join(tablet, sheet), "utf8")))
      places.set(name, (places.get(name) ?? new Set()).add(dirname(sheet)));
  const twice = [...places].filter(([, folders]) => folders.size > 1);
  expect(sheets.length).toBeGreaterThan(20);
  expect(twice.map(([name, folders]) => `${name}: ${[...folders].join(", ")}`)).toEqual([]);
});
