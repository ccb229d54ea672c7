import { expect, it } from "vitest";
import { breaches, importsIn, importsOfSrc, onlyOfOneBook, rings } from "./arrows.ts";

const all = importsOfSrc();

it("keeps to the arrows between folders, and imports no package that is not its folder's", () => {
  expect(all.length).toBeGreaterThan(3000);
  expect(breaches(all)).toEqual([]);
});

it("lets room, store, ledger and feeds know no belt test", () => {
  expect(onlyOfOneBook(all)).toEqual([]);
  const planted = (from: string, text: string) => onlyOfOneBook(importsIn(from, text));
  const scorebook = 'import { Scorebook } from "../../belt-test/scorebook/scorebook.ts";';
  expect(planted("hub/room/a.ts", scorebook)).toHaveLength(1);
  expect(planted("hub/room/a.ts", 'import { b } from "../test-room/held-at.ts";')).toHaveLength(1);
  expect(planted("line/feed.ts", 'import { b } from "./coverage-board.ts";')).toHaveLength(1);
  expect(planted("hub/test-room/a.ts", scorebook)).toEqual([]);
});

it("has no ring of folders", () => {
  expect(rings(all)).toEqual([]);
});

it("finds what is planted", () => {
  const planted = (from: string, text: string) => breaches(importsIn(from, text));
  expect(planted("ratings/median.ts", 'import * as z from "zod/mini";')).toHaveLength(1);
  expect(
    planted("ratings/a.ts", 'import type { R } from "../belt-test/rubric/rubric.ts";'),
  ).toHaveLength(1);
  expect(planted("belt-test/verdict/a.ts", 'import { readFileSync } from "node:fs";')).toHaveLength(
    1,
  );
  expect(
    planted("belt-test/verdict/a.ts", 'const x = await import("../../lab/normal.ts");'),
  ).toHaveLength(1);
  expect(planted("tablet/parts/a.tsx", 'import { B } from "../screens/judge/b.tsx";')).toHaveLength(
    1,
  );
  expect(planted("tablet/screens/judge/a.tsx", 'import { B } from "../desk/b.tsx";')).toHaveLength(
    1,
  );
  expect(
    planted("tablet/screens/judge/a.tsx", 'import { B } from "../../storage/b.ts";'),
  ).toHaveLength(1);
  // A notebook of any book knows no belt test, nor what of the line is one's.
  for (const known of ["belt-test/kinds/all-kinds", "line/floor", "tablet/session/hall-news"])
    expect(planted("tablet/notebook/a.ts", `import "../../${known}.ts";`)).toHaveLength(1);
  expect(planted("tablet/main.tsx", 'import { b } from "../hub/main.ts";')).toHaveLength(1);
  expect(planted("new-folder/a.ts", 'import "node:fs";')).toHaveLength(1);
  const ring = [
    ...importsIn("book/a/x.ts", 'import { y } from "../b/y.ts";'),
    ...importsIn("book/b/z.ts", 'import { w } from "../a/w.ts";'),
  ];
  expect(rings(ring)).toHaveLength(1);
});
