import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { expect, it } from "vitest";

const folder = fileURLToPath(new URL("../../build/tablet", import.meta.url));
/** What a judge's tablet may have to fetch before it shows a board, compressed. 1 kB is 1000 bytes; ours is all but that (weighed on 2026-11-29). */
const MOST_KILOBYTES = 190;

/** The page asks for its script and for all that this imports, at once. */
const firstScripts = (): string[] =>
  [
    ...readFileSync(join(folder, "index.html"), "utf8").matchAll(
      /(?:src|href)="\/(assets\/[^"]+\.js)"/g,
    ),
  ].map(([, path = ""]) => path);

it("shows a judge's board from the first script alone, which stays small", () => {
  const scripts = firstScripts();
  const written = scripts.map((path) => readFileSync(join(folder, path)));
  expect(written.some((script) => script.includes("data-zone"))).toBe(true);
  const bytes = written.map((script) => gzipSync(script, { level: 9 }).length);
  expect(bytes.reduce((sum, one) => sum + one, 0) / 1000).toBeLessThanOrEqual(MOST_KILOBYTES);
});

it("keeps every later script of the app on the tablet too", () => {
  const kept = readFileSync(join(folder, "sw.js"), "utf8");
  const later = readdirSync(join(folder, "assets")).filter(
    (name) => name.endsWith(".js") && !/^(family|trust)-/.test(name),
  );
  expect(later.length).toBeGreaterThan(firstScripts().length);
  expect(later.filter((name) => !kept.includes(`assets/${name}`))).toEqual([]);
});
