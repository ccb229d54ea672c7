import { spawn } from "node:child_process";
import { fileURLToPath } from "node:url";
import { say, tell } from "./words.mjs";

export const root = fileURLToPath(new URL("../..", import.meta.url));

/** Runs a program to its end. @returns its exit code, and what it said if that was kept. */
export function run(command, args, { env, keep = false } = {}) {
  return new Promise((resolve) => {
    const child = spawn(command, args, {
      cwd: root,
      env: { ...process.env, ...env },
      // Everything these programs say is progress, so it goes where progress goes.
      stdio: keep ? ["ignore", "pipe", "pipe"] : ["ignore", 2, 2],
      shell: process.platform === "win32" && command === "npm",
    });
    let said = "";
    for (const stream of [child.stdout, child.stderr])
      stream?.on("data", (data) => {
        said += data;
      });
    child.on("error", (error) => resolve({ code: 127, said: String(error) }));
    child.on("close", (code, signal) => resolve({ code: code ?? (signal ? 128 : 1), said }));
  });
}

/** Long work with a sign of life every few seconds: on a terminal in place, in a log line by line. */
export async function withProgress(what, work) {
  const begun = Date.now();
  const seconds = () => Math.round((Date.now() - begun) / 1000);
  const isTerminal = process.stderr.isTTY;
  const show = () => {
    const line = say("going", { what, seconds: seconds() });
    if (isTerminal) process.stderr.write(`\r${line}`);
    else tell(line);
  };
  show();
  const timer = setInterval(show, isTerminal ? 1000 : 15_000);
  const result = await work();
  clearInterval(timer);
  if (isTerminal) process.stderr.write("\r\u001b[K");
  if (!result?.code) tell(say("done", { what, seconds: seconds() }));
  return result;
}
