// Are packages that run with Evenhand known to be dangerous? Fails when some are; where nobody can be asked it says so, and no more.
import { spawnSync } from "node:child_process";
import { audited } from "./audited.mjs";
import { root } from "./run.mjs";
import { say, tell } from "./words.mjs";

const { stdout, stderr } = spawnSync(
  "npm",
  ["audit", "--omit=dev", "--json", "--fetch-retries=0", "--fetch-timeout=15000"],
  { cwd: root, encoding: "utf8", shell: process.platform === "win32" },
);
const found = audited(stdout || stderr || "");
if (found.kind === "sound") tell(say("audit-sound"));
if (found.kind === "dangerous")
  tell(say("audit-dangerous", { packages: found.packages.join(", ") }));
if (found.kind === "not-asked") tell(say("audit-not-asked", { why: found.why }));
process.exitCode = found.kind === "dangerous" ? 1 : 0;
