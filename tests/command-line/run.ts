import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";
import type { Command, Terminal } from "../../src/command-line/command.ts";
import { main } from "../../src/command-line/main.ts";
import { troubleText } from "../../src/command-line/trouble.ts";

/** A folder of its own for one test, with these files; gone afterwards. */
export function aFolder(files: Record<string, string | object> = {}): string {
  const folder = mkdtempSync(join(tmpdir(), "evenhand-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  for (const [name, content] of Object.entries(files))
    writeFileSync(
      join(folder, name),
      typeof content === "string" ? content : JSON.stringify(content),
    );
  return folder;
}

export interface Ran {
  code: number;
  out: string;
  err: string;
}

/** Runs the command line in a folder, within this process. */
export async function run(
  folder: string,
  args: readonly string[],
  command?: Command,
  width = 100,
): Promise<Ran> {
  const [out, err]: [string[], string[]] = [[], []];
  const terminal: Terminal = {
    out: (text) => out.push(text),
    err: (text) => err.push(text),
    width,
    folder,
  };
  const code = command
    ? await command.run(args, terminal).catch((error: unknown) => {
        const text = troubleText(error);
        if (text === undefined) throw error;
        err.push(text);
        return 2;
      })
    : await main(args, terminal);
  return { code, out: out.join("\n"), err: err.join("\n") };
}
