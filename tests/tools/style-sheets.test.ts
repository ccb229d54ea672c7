import { readdirSync, readFileSync } from "node:fs";
import { basename, dirname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, it } from "vitest";

const tablet = fileURLToPath(new URL("../../src/tablet", import.meta.url));
const files = readdirSync(tablet, { recursive: true, encoding: "utf8" });
const read = (name: string) => readFileSync(join(tablet, name), "utf8");
const camel = (name: string) => name.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());

const sheets = files.filter((name) => name.endsWith(".css") && !name.startsWith("look"));
const code = files.filter((name) => /\.tsx?$/.test(name));

/** What a sheet selects by: its own classes, those of everybody, and the parts it dresses. */
function selectorsIn(css: string) {
  const plain = css.replace(/\/\*[\s\S]*?\*\//g, "");
  const preludes = [...plain.matchAll(/([^{};]+)\{/g)]
    .map(([, prelude = ""]) => prelude.trim())
    .filter((prelude) => !prelude.startsWith("@"))
    .join(",");
  const everybodys = [...preludes.matchAll(/:global\(\.([\w-]+)\)/g)].map(([, name = ""]) => name);
  const own = preludes.replace(/:global\([^)]*\)/g, "").matchAll(/\.([a-z][\w-]*)/g);
  const parts = [...preludes.matchAll(/\[data-part="([\w-]+)"\]/g)].map(([, name = ""]) => name);
  return { everybodys, own: new Set([...own].map(([, name = ""]) => camel(name))), parts };
}

/** By sheet: the classes that code speaks of, and who speaks. */
function spokenOf() {
  const spoken = new Map<string, { names: Set<string>; by: string[] }>();
  for (const file of code) {
    const text = read(file);
    for (const [, local = "", path = ""] of text.matchAll(
      /^import (\w+) from "([^"]+\.module\.css)";$/gm,
    )) {
      const sheet = normalize(join(dirname(file), path));
      const its = spoken.get(sheet) ?? { names: new Set(), by: [] };
      for (const [, name = ""] of text.matchAll(new RegExp(`\\b${local}\\.(\\w+)`, "g")))
        its.names.add(name);
      its.by.push(file);
      spoken.set(sheet, its);
    }
  }
  return spoken;
}

// Style sheets stay when a screen is left: a judge's board lost its lower keys once a chief's board, of the same class, had been looked at.
it("gives each class to one file: every sheet is a module, and no two are called alike", () => {
  expect(sheets.length).toBeGreaterThan(60);
  expect(sheets.filter((name) => !name.endsWith(".module.css"))).toEqual([]);
  const names = sheets.map((name) => basename(name));
  expect(names.filter((name, at) => names.indexOf(name) !== at)).toEqual([]);
});

it("has every class that code speaks of, and none that nobody does", () => {
  const spoken = spokenOf();
  const amiss = sheets.flatMap((sheet) => {
    const { own } = selectorsIn(read(sheet));
    const names = spoken.get(sheet)?.names ?? new Set<string>();
    return [
      ...[...names].filter((name) => !own.has(name)).map((name) => `${sheet} lacks ${name}`),
      ...[...own].filter((name) => !names.has(name)).map((name) => `${sheet}: nobody has ${name}`),
    ];
  });
  expect(amiss).toEqual([]);
});

it("lets a sheet be used where it lies only: another page dresses a part by what the part says it is", () => {
  const strangers = [...spokenOf()].flatMap(([sheet, { by }]) =>
    by.filter((file) => !file.startsWith(`${dirname(sheet)}/`)).map((file) => `${file}: ${sheet}`),
  );
  expect(strangers).toEqual([]);
  const said = new Set(
    code.flatMap((file) =>
      [...read(file).matchAll(/"?data-part"?[=:]\s*"([\w-]+)"/g)].map(([, name]) => name),
    ),
  );
  const unsaid = sheets.flatMap((sheet) =>
    selectorsIn(read(sheet))
      .parts.filter((part) => !said.has(part))
      .map((part) => `${sheet}: no part is called ${part}`),
  );
  expect(unsaid).toEqual([]);
});

it("knows by name only the classes of everybody, which lie in look/, and a library's", () => {
  const ofEverybody = new Set(
    files
      .filter((name) => /^look\/.*\.css$/.test(name))
      .flatMap((name) => [...selectorsIn(read(name)).own]),
  );
  const others = sheets.flatMap((sheet) =>
    selectorsIn(read(sheet)).everybodys.filter(
      (name) => !ofEverybody.has(camel(name)) && !name.startsWith("recharts-"),
    ),
  );
  expect(others).toEqual([]);
});

it("has every class that a journey looks for", () => {
  const tests = fileURLToPath(new URL("../../tests", import.meta.url));
  const looking = readdirSync(tests, { recursive: true, encoding: "utf8" }).filter((name) =>
    /^(journeys\/.*|tools\/take-pictures)\.tsx?$/.test(name),
  );
  const known = new Set(
    files
      .filter((name) => name.endsWith(".css"))
      .flatMap((sheet) => {
        const own = [...read(sheet).matchAll(/\.([a-z][\w-]*)/g)].map(([, name = ""]) => name);
        const of = basename(sheet, ".module.css");
        const called = (name: string) => (name === "root" ? of : `${of}-${name}`);
        return sheet.endsWith(".module.css") ? [...own, ...own.map(called)] : own;
      }),
  );
  const amiss = looking.flatMap((file) =>
    [
      ...readFileSync(join(tests, file), "utf8").matchAll(
        /(?:locator|querySelector(?:All)?)\(\s*"([^"]+)"/g,
      ),
    ].flatMap(([, selector = ""]) =>
      [...selector.matchAll(/\.([a-z][\w-]*)/g)]
        .filter(([, name = ""]) => !known.has(name))
        .map(([, name]) => `${file}: ${name}`),
    ),
  );
  expect(amiss).toEqual([]);
});
