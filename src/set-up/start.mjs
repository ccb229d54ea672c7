// npm start, npm run demo: makes itself ready, then becomes the command.
import { spawn } from "node:child_process";
import { join } from "node:path";
import { makeReady } from "./make-ready.mjs";
import { root } from "./run.mjs";

const [first, ...rest] = process.argv.slice(2);
const isNamed = first !== undefined && !first.startsWith("-");
const command = isNamed ? [first, ...rest] : ["serve", ...process.argv.slice(2)];

if (await makeReady()) {
  const child = spawn(
    process.execPath,
    [join(root, "src", "command-line", "evenhand.mjs"), ...command],
    { stdio: "inherit" },
  );
  // A terminal tells the whole group; npm, a service manager or a test tell this process only.
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"])
    process.on(signal, () => child.kill(signal));
  child.on("close", (code, signal) => {
    process.exitCode = code ?? (signal ? 1 : 0);
  });
} else process.exitCode = 1;
