import { readFileSync } from "node:fs";
import { expect, it } from "vitest";

/** What may run with Evenhand; all of them permissive, none asks anything of a school. https://spdx.org/licenses/ */
const allowed = new Set([
  "MIT",
  "ISC",
  "BSD-2-Clause",
  "BSD-3-Clause",
  "0BSD",
  "Apache-2.0",
  "BlueOak-1.0.0",
]);
/** Faces, bundled and never changed. */
const faces = new Set(["OFL-1.1"]);

interface Locked {
  packages: Record<string, { license?: string; dev?: boolean; devOptional?: boolean }>;
}

it("whatever runs with Evenhand has a licence that is allowed", () => {
  const file = new URL("../../package-lock.json", import.meta.url);
  const { packages } = JSON.parse(readFileSync(file, "utf8")) as Locked;
  const running = Object.entries(packages).filter(
    ([path, { dev, devOptional }]) => path !== "" && !dev && !devOptional,
  );
  expect(running.length).toBeGreaterThan(50);
  const others = running.filter(([path, { license = "none" }]) => {
    const every = license.replace(/[()]/g, "").split(/ AND | OR /);
    const mayBe = path.includes("@fontsource") ? faces : allowed;
    return !every.every((one) => mayBe.has(one));
  });
  expect(others.map(([path, { license }]) => `${path}: ${license}`)).toEqual([]);
});
