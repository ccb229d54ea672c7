import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, it } from "vitest";

it("[Y200] the language is given once: no screen, part or sentence chooses one", () => {
  const src = fileURLToPath(new URL("../../src", import.meta.url));
  const files = readdirSync(src, { recursive: true, encoding: "utf8" }).filter((name) =>
    /^(tablet|words)\/.*\.tsx?$/.test(name),
  );
  const chooses = files.filter((name) => {
    const text = readFileSync(join(src, name), "utf8");
    return /\bENGLISH\b|"en-GB"|toLocale\w+\(\)|toLocale\w+\(\[|Intl\.\w+\(\)|lang="en"/.test(text);
  });
  expect(chooses.sort()).toEqual(["tablet/language.ts", "tablet/parts/use-say.ts", "words/say.ts"]);
});
