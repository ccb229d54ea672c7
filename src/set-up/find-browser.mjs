import { existsSync, rmSync } from "node:fs";
import { delimiter, join } from "node:path";
import { root, run, withProgress } from "./run.mjs";
import { say } from "./words.mjs";

const NAMES = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"];
const APPS = [
  "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
  "/Applications/Chromium.app/Contents/MacOS/Chromium",
  join(process.env.PROGRAMFILES ?? "", "Google/Chrome/Application/chrome.exe"),
];
/** As root, in a container, without a screen or a network: a test's browser starts anywhere. */
export const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-dev-shm-usage",
];
const folder = join(root, ".cache", "browser");

/**
 * A Chromium for the journeys: the one named in EVENHAND_BROWSER, the machine's own, one out of a package, one installed now.
 * @returns its path and what its process needs around it; or why there is none.
 */
export async function findBrowser() {
  const named = process.env.EVENHAND_BROWSER;
  if (named) {
    const env = librariesOf(process.env.EVENHAND_BROWSER_LIBRARIES);
    const trouble = await whyNot(named, env);
    return trouble === undefined
      ? { path: named, env }
      : { missing: say("browser-wrong", { path: named, detail: trouble }) };
  }
  for (const path of ownBrowsers())
    if ((await whyNot(path)) === undefined) return { path, env: {} };
  return (
    (await packagedBrowser()) ?? (await installedBrowser()) ?? { missing: say("browser-missing") }
  );
}

function ownBrowsers() {
  const folders = (process.env.PATH ?? "").split(delimiter);
  return [...folders.flatMap((one) => NAMES.map((name) => join(one, name))), ...APPS].filter(
    (path) => existsSync(path),
  );
}

/** The browser inside a package that comes with npm ci, for Linux on x64; its libraries come with it. */
export async function packagedBrowser() {
  if (process.platform !== "linux" || process.arch !== "x64") return undefined;
  const path = join(folder, "chromium");
  const env = librariesOf(join(folder, "al2023", "lib"));
  if (!existsSync(path)) {
    const unpack =
      'import { mkdirSync } from "node:fs"; mkdirSync(process.env.TMPDIR, { recursive: true });' +
      'const { default: chromium } = await import("@sparticuz/chromium"); await chromium.executablePath();';
    // Told that it is on a bare machine, the package unpacks the shared libraries as well.
    const bare = { TMPDIR: folder, AWS_EXECUTION_ENV: "AWS_Lambda_nodejs22.x" };
    await withProgress(say("unpacking-browser"), () =>
      run(process.execPath, ["--input-type=module", "-e", unpack], { env: bare, keep: true }),
    );
  }
  for (const around of [{}, env])
    if ((await whyNot(path, around)) === undefined) return { path, env: around };
  // Half unpacked, perhaps: the next run begins anew.
  rmSync(folder, { recursive: true, force: true });
  return undefined;
}

async function installedBrowser() {
  const { chromium } = await import("playwright-core");
  if (!existsSync(chromium.executablePath())) {
    const cli = join(root, "node_modules", "playwright-core", "cli.js");
    await withProgress(say("installing-browser"), () =>
      run(process.execPath, [cli, "install", "chromium"], { keep: true }),
    );
  }
  const path = chromium.executablePath();
  return (await whyNot(path)) === undefined ? { path, env: {} } : undefined;
}

const librariesOf = (libraries) =>
  libraries ? { LD_LIBRARY_PATH: libraries, FONTCONFIG_PATH: join(folder, "fonts") } : {};

/** Why a browser does not show a page; undefined when it does. */
async function whyNot(path, env = {}) {
  if (!existsSync(path)) return "there is no such file";
  const { chromium } = await import("playwright-core");
  try {
    const browser = await chromium.launch({
      executablePath: path,
      args: FLAGS,
      env: { ...process.env, ...env },
      timeout: 30_000,
    });
    const page = await browser.newPage();
    await page.setContent("<p>ready</p>");
    await browser.close();
    return undefined;
  } catch (error) {
    return error.message.split("\n")[0];
  }
}
