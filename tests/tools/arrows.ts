import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, normalize, relative } from "node:path";
import { fileURLToPath } from "node:url";

const src = fileURLToPath(new URL("../../src", import.meta.url));

/** What a folder of src may import: others of src, or single files there, and packages, by how their names begin. Itself and what lies in it always. */
interface Arrows {
  sees: readonly string[];
  packages: readonly string[];
}
const pure = ["zod/mini", "@noble/hashes/", "canonicalize"];
const day = ["ratings", "book", "belt-test"];
const shared = [...day, "ports", "line", "words"];

/** The arrows of the house: a folder that is named nowhere is held to those of the one it lies in. */
export const ARROWS: Readonly<Record<string, Arrows>> = {
  ratings: { sees: [], packages: [] },
  book: { sees: [], packages: pure },
  "belt-test": { sees: ["ratings", "book"], packages: pure },
  line: { sees: day, packages: pure },
  ports: { sees: [...day, "line"], packages: [] },
  words: { sees: day, packages: ["intl-messageformat"] },
  hub: {
    sees: [...day, "ports", "line", "words"],
    packages: [
      ...["node:", "zod/mini", "canonicalize", "uuid", "fastify", "@fastify/", "libsql", "pg"],
      ...["@peculiar/x509", "reflect-metadata", "multicast-dns", "tsx/esm/api"],
    ],
  },
  tablet: {
    sees: shared,
    packages: ["react", "react-dom/", "react-router", "@fontsource/", "uuid", "zod/mini"],
  },
  // Only a main opens the database and the line to the hub.
  "tablet/storage": { sees: shared, packages: ["dexie", "canonicalize"] },
  "tablet/link": { sees: [...shared, "tablet/session"], packages: ["zod/mini"] },
  "tablet/device": { sees: [], packages: ["react"] },
  "tablet/look": { sees: [], packages: ["@fontsource/"] },
  "tablet/parts": {
    sees: [...day, "words", "tablet/look", "tablet/device"],
    packages: ["react", "react-router", "qrcode"],
  },
  "tablet/print": { sees: [...day, "words", "tablet/parts"], packages: ["react", "recharts"] },
  // A notebook of whatever book, and its line: what a belt test is stands in tablet/session.
  "tablet/notebook": {
    sees: [
      ...["book", "ports"],
      ...["catch-up", "holds", "protocol", "receipt", "refs-in", "runs"].map(
        (name) => `line/${name}.ts`,
      ),
    ],
    packages: [],
  },
  "tablet/session": {
    sees: [...shared, "tablet/parts", "tablet/notebook"],
    packages: ["react", "zod/mini", "uuid"],
  },
  "tablet/in-words": {
    sees: [...day, "words", "tablet/parts", "tablet/session"],
    packages: [],
  },
  "tablet/start": { sees: ["belt-test", "words"], packages: [] },
  "tablet/screens": {
    sees: [
      ...shared,
      ...["tablet/parts", "tablet/look", "tablet/device", "tablet/print", "tablet/session"],
      ...["tablet/notebook", "tablet/in-words"],
    ],
    packages: ["react", "react-router", "papaparse", "zod/mini", "uuid"],
  },
  demo: {
    sees: [...shared, "hub"],
    packages: ["node:", "fastify", "pure-rand/", "uuid", "ws", "zod/mini"],
  },
  "command-line": {
    sees: [...shared, "hub", "demo"],
    packages: ["node:", "papaparse", "qrcode", "tsx/esm/api", "zod/mini"],
  },
  lab: { sees: ["ratings", "belt-test"], packages: ["node:fs", "node:url"] },
  "set-up": { sees: [], packages: ["node:", "@sparticuz/chromium", "playwright-core"] },
};

/** One import: a file of src, and what it names, a file of src too or a package. */
export interface Import {
  from: string;
  to: string;
  isPackage: boolean;
}

/** Every import of src, dynamic ones and those of types too. */
export function importsOfSrc(): Import[] {
  return readdirSync(src, { recursive: true, encoding: "utf8" })
    .filter((name) => /\.(ts|tsx|mjs)$/.test(name))
    .flatMap((from) => importsIn(from, readFileSync(join(src, from), "utf8")));
}

export const importsIn = (from: string, text: string): Import[] =>
  [
    ...text.matchAll(/^(?!\s*(?:\*|\/\/)).*?(?:\bfrom |\bimport\(\s*|^import )["']([^"']+)["']/gm),
  ].map(([, to = ""]) =>
    to.startsWith(".")
      ? { from, to: relative(src, normalize(join(src, dirname(from), to))), isPackage: false }
      : { from, to, isPackage: true },
  );

/** Imports that follow no arrow, in words. */
export function breaches(imports: readonly Import[]): string[] {
  return imports.flatMap(({ from, to, isPackage }) => {
    const home = homeOf(from);
    if (home === undefined) return [`${from} lies in a folder without arrows`];
    const { sees, packages } = ARROWS[home] as Arrows;
    const may = isPackage
      ? packages.some((one) => to === one || (/[:/]$/.test(one) && to.startsWith(one)))
      : mayFile(home, sees, from, to);
    return may ? [] : [`${from} imports ${to}`];
  });
}

function mayFile(home: string, sees: readonly string[], from: string, to: string): boolean {
  if (isIn(to, "..")) return true;
  // A screen knows no other screen.
  const screen = /^tablet\/screens\/[^/]+\//.exec(from)?.[0];
  if (screen && to.startsWith("tablet/screens/")) return to.startsWith(screen);
  if (isIn(to, home)) return homeOf(to) === home || home === "tablet";
  return sees.some((one) => to === one || isIn(to, one));
}

/** The row of a file: of the folders it lies in, the innermost that has one. */
function homeOf(file: string): string | undefined {
  const folders = Object.keys(ARROWS).filter((folder) => isIn(file, folder));
  return folders.sort((a, b) => b.length - a.length)[0];
}
const isIn = (file: string, folder: string): boolean => file.startsWith(`${folder}/`);

/** What any book stands on, a belt test's or another: folders, and files of line/. */
const OF_ANY_BOOK = [
  ...["book/", "hub/room/", "hub/store/"],
  ...["feed", "ledger", "side-check", "make-side-record", "refs-in", "receipt", "runs"].map(
    (name) => `line/${name}.ts`,
  ),
];
const isOfAny = (file: string, places: readonly string[]): boolean =>
  places.some((place) => file.startsWith(place));

/** Imports by which what any book stands on would know a belt test. */
export function onlyOfOneBook(imports: readonly Import[]): string[] {
  const known = [...OF_ANY_BOOK, "ports/", "line/hub-news.ts"];
  return imports.flatMap(({ from, to, isPackage }) =>
    isPackage || !isOfAny(from, OF_ANY_BOOK) || isOfAny(to, known) ? [] : [`${from} imports ${to}`],
  );
}

/** Folders that import one another in a ring, each ring with an import of every step. */
export function rings(imports: readonly Import[]): string[] {
  const steps = new Map<string, Map<string, string>>();
  for (const { from, to, isPackage } of imports) {
    const [here, there] = [dirname(from), dirname(to)];
    if (isPackage || here === there || isIn(to, "..")) continue;
    const out = steps.get(here) ?? new Map<string, string>();
    steps.set(here, out.set(there, `${from} → ${to}`));
  }
  const found: string[] = [];
  const done = new Set<string>();
  const walk = (folder: string, way: readonly string[]): void => {
    if (way.includes(folder)) {
      const ring = [...way.slice(way.indexOf(folder)), folder];
      found.push(
        ring
          .slice(1)
          .map((to, at) => steps.get(ring[at] as string)?.get(to))
          .join(", "),
      );
      return;
    }
    if (done.has(folder)) return;
    for (const next of steps.get(folder)?.keys() ?? []) walk(next, [...way, folder]);
    done.add(folder);
  };
  for (const folder of steps.keys()) walk(folder, []);
  return found;
}
