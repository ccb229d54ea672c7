// npm test: makes itself ready, checks, runs every test in real browsers too, and ends with one line that counts.
import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { counted } from "./counted.mjs";
import { findBrowser } from "./find-browser.mjs";
import { makeReady } from "./make-ready.mjs";
import { root, run } from "./run.mjs";
import { say, tell } from "./words.mjs";

const bin = (...path) => join(root, "node_modules", ...path);
const checks = {
  lint: [
    bin("@biomejs", "biome", "bin", "biome"),
    "check",
    "--config-path=tests/tools/lint.json",
    "src",
    "tests",
  ],
  types: [bin("typescript", "bin", "tsc"), "--noEmit"],
  dead: [bin("knip", "bin", "knip.js"), "--config", "tests/tools/knip.json"],
};

process.exitCode = await testAll(process.argv.slice(2));

async function testAll(args) {
  if (!(await makeReady())) return finish({ passed: 0, failed: 1 });
  const unsound = await unsoundChecks();
  const browser = await findBrowser();
  if (browser.missing) {
    // Never a silent skip: without a browser the journeys fail, and this says why.
    tell(browser.missing);
    return finish({ passed: 0, failed: unsound + 1 });
  }
  tell(say("browser", { path: browser.path }));
  const { passed, failed } = await runTests(args, browser);
  return finish({ passed, failed: failed + unsound });
}

async function unsoundChecks() {
  let unsound = 0;
  // All at once: none of them waits for another.
  const outcomes = await Promise.all(
    Object.entries(checks).map(async ([name, [program, ...args]]) => {
      const { code, said } = await run(process.execPath, [program, ...args], { keep: true });
      return { name, code, said };
    }),
  );
  for (const { name, code, said } of outcomes) {
    if (code !== 0) {
      unsound++;
      tell(said);
    }
    tell(say("checking", { what: say(name), outcome: say(code === 0 ? "ok" : "not-ok") }));
  }
  return unsound;
}

async function runTests(args, browser) {
  const report = join(root, ".cache", "tests.json");
  mkdirSync(join(root, ".cache"), { recursive: true });
  rmSync(report, { force: true });
  const { code } = await run(
    process.execPath,
    [
      bin("vitest", "vitest.mjs"),
      "run",
      "--reporter=default",
      "--reporter=json",
      `--outputFile.json=${report}`,
      ...args,
    ],
    {
      env: {
        EVENHAND_BROWSER: browser.path,
        EVENHAND_BROWSER_LIBRARIES: browser.env.LD_LIBRARY_PATH ?? "",
      },
    },
  );
  const { passed, failed, notes } = counted(readReport(report), code);
  for (const { key, count } of notes) tell(say(key, { count }));
  return { passed, failed };
}

function readReport(path) {
  try {
    return JSON.parse(readFileSync(path, "utf8"));
  } catch {
    return undefined;
  }
}

function finish({ passed, failed }) {
  console.log(say("result", { passed, failed }));
  return failed === 0 ? 0 : 1;
}
