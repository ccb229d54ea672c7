import {
  existsSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  utimesSync,
} from "node:fs";
import { join } from "node:path";
import { root, run, withProgress } from "./run.mjs";
import { say, tell } from "./words.mjs";

const app = join(root, "build", "tablet");
/** What the built app is made from; when any of it is newer than the build, the app is built again. */
const SOURCES = [
  "src/tablet",
  "src/core",
  "src/line",
  "src/ports",
  "src/words",
  "scoring-rubrics",
  "vite.config.ts",
  "package-lock.json",
];

/**
 * Makes a fresh clone ready to run: the right Node, everything installed, the app built. Does nothing that is done already.
 * @returns whether it is ready; what is wrong has been said.
 */
export async function makeReady() {
  if (!isNodeNewEnough(process.versions.node)) {
    tell(say("node-old", { version: process.versions.node }));
    return false;
  }
  if (!isInstalled()) {
    const { code } = await withProgress(say("installing"), () =>
      run("npm", ["ci", "--include=dev", "--no-audit", "--no-fund", "--loglevel=error"]),
    );
    if (code !== 0) {
      tell(say("install-failed"));
      return false;
    }
  }
  if (!isBuilt()) {
    const { code, said } = await withProgress(say("building"), build);
    if (code !== 0) {
      tell(said);
      tell(say("build-failed"));
      return false;
    }
  }
  return true;
}

/** Builds beside the app that is there and puts the new one in its place whole, dated from the moment its sources were read. */
async function build() {
  const begun = new Date();
  const making = join(root, "build", "making");
  const vite = join("node_modules", "vite", "bin", "vite.js");
  const args = [vite, "build", "--logLevel", "warn", "--outDir", making, "--emptyOutDir"];
  // Whoever asks (a test runner sets another), this is the app for a hall: minified, with its service worker.
  const env = { NODE_ENV: "production" };
  const answer = await run(process.execPath, args, { env, keep: true });
  if (answer.code !== 0) return answer;
  rmSync(app, { recursive: true, force: true });
  renameSync(making, app);
  utimesSync(join(app, "index.html"), begun, begun);
  return answer;
}

function isNodeNewEnough(version) {
  const [major, minor] = version.split(".").map(Number);
  return major > 20 || (major === 20 && minor >= 19);
}

/** Whether node_modules holds every package of the lock in its version. Times of files say nothing after a checkout. */
function isInstalled() {
  const wanted = readJson("package-lock.json")?.packages ?? {};
  const present = readJson(join("node_modules", ".package-lock.json"))?.packages;
  if (!present) return false;
  return Object.entries(wanted).every(
    ([name, { version, optional, devOptional }]) =>
      name === "" || optional || devOptional || present[name]?.version === version,
  );
}

function isBuilt() {
  const page = join(app, "index.html");
  if (!existsSync(page)) return false;
  const builtAt = statSync(page).mtimeMs;
  return SOURCES.every((source) => newestUnder(join(root, source)) <= builtAt);
}

function newestUnder(path) {
  if (!existsSync(path)) return 0;
  const stat = statSync(path);
  if (!stat.isDirectory()) return stat.mtimeMs;
  // A folder's own time tells of files that were taken away.
  return readdirSync(path).reduce(
    (newest, name) => Math.max(newest, newestUnder(join(path, name))),
    stat.mtimeMs,
  );
}

function readJson(path) {
  try {
    return JSON.parse(readFileSync(join(root, path), "utf8"));
  } catch {
    return undefined;
  }
}
