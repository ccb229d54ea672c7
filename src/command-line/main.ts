import { escaped } from "../book/harmless-text.ts";
import type { Command, Terminal } from "./command.ts";
import { sayTerminal, type TerminalKey } from "./say-terminal.ts";
import { Trouble, troubleText } from "./trouble.ts";

/** Every command, and the line that `--help` says of it. Loaded when asked for. */
const commands: Record<string, { line: TerminalKey; load: () => Promise<Command> }> = {
  serve: {
    line: "line-serve",
    load: async () => {
      const { serve } = await import("./serve.ts");
      return { run: (args) => serve([...args]) };
    },
  },
  demo: {
    line: "line-demo",
    load: async () => {
      const { demo } = await import("./demo.ts");
      return { run: (args) => demo([...args]) };
    },
  },
  report: { line: "line-report", load: async () => (await import("./report.ts")).report },
  agreement: {
    line: "line-agreement",
    load: async () => (await import("./agreement.ts")).agreement,
  },
  statistics: {
    line: "line-statistics",
    load: async () => (await import("./statistics.ts")).statistics,
  },
  check: { line: "line-check", load: async () => (await import("./check.ts")).check },
  verify: { line: "line-verify", load: async () => (await import("./verify.ts")).verify },
  backup: { line: "line-backup", load: async () => (await import("./backup.ts")).backup },
  restore: { line: "line-restore", load: async () => (await import("./restore.ts")).restore },
  devices: { line: "line-devices", load: async () => (await import("./devices.ts")).devices },
  erase: { line: "line-erase", load: async () => (await import("./erase.ts")).erase },
  export: { line: "line-export", load: async () => (await import("./export.ts")).exportCommand },
  import: { line: "line-import", load: async () => (await import("./import.ts")).importCommand },
};

// Somebody who reads only the beginning (| head) has had enough: no fault.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code !== "EPIPE") throw error;
  process.exit();
});

const here: Terminal = {
  out: (text) => process.stdout.write(`${escaped(text)}\n`),
  err: (text) => process.stderr.write(`${escaped(text)}\n`),
  width: Math.min(Math.max(Number(process.env.COLUMNS) || process.stdout.columns || 100, 60), 140),
  folder: process.cwd(),
};

/** Runs one command. @returns the exit code: 0 done, 1 the thing checked is not sound, 2 bad usage or input. */
export async function main(args: readonly string[], terminal: Terminal = here): Promise<number> {
  const [name, ...rest] = args;
  try {
    if (name === undefined || name === "--help" || name === "-h" || name === "help") {
      terminal.out(overview());
      return name === undefined ? 2 : 0;
    }
    const found = Object.hasOwn(commands, name) ? commands[name] : undefined;
    if (!found)
      throw new Trouble([
        { say: "command-unknown", with: { name, names: Object.keys(commands).join(", ") } },
      ]);
    const command = await found.load();
    if (command.help && (rest.includes("--help") || rest.includes("-h"))) {
      terminal.out(sayTerminal(command.help));
      return 0;
    }
    return await command.run(rest, terminal);
  } catch (error) {
    const text = troubleText(error);
    if (text === undefined) throw error;
    terminal.err(text);
    return 2;
  }
}

function overview(): string {
  const widest = Math.max(...Object.keys(commands).map((name) => name.length));
  return [
    sayTerminal("overview"),
    "",
    ...Object.entries(commands).map(
      ([name, { line }]) => `  ${name.padEnd(widest)}  ${sayTerminal(line)}`,
    ),
    "",
    sayTerminal("overview-exit"),
  ].join("\n");
}
