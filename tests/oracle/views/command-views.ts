import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { main } from "../../../src/command-line/main.ts";
import type { OracleBook } from "../oracle-book.ts";
import type { Views } from "../views.ts";

const WIDTH = 100;

/** What the command line says of a book: results as JSON, as a spreadsheet and as a table. */
export async function commandViews({ file }: OracleBook): Promise<Views> {
  const folder = mkdtempSync(join(tmpdir(), "evenhand-oracle-"));
  try {
    writeFileSync(join(folder, "book.json"), JSON.stringify(file));
    return {
      "report --json": await said(folder, ["report", "book.json", "--json"]),
      report: await said(folder, ["report", "book.json", "--out", "out"]),
      "results.csv": written(join(folder, "out/results.csv")),
      verify: await asVerified(folder),
    };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A hub's folder that took the file in, as it is verified, and as it is exported again. */
async function asVerified(folder: string): Promise<string> {
  const data = join(folder, "data");
  mkdirSync(data);
  const own = ["--data", data];
  const taken = await said(folder, ["import", "book.json", ...own]);
  const verified = await said(folder, ["verify", "--json", ...own]);
  return `${taken}\n${verified}`;
}

/** What a command printed, and how it ended; without the folder's own name, which is chance. */
async function said(folder: string, args: readonly string[]): Promise<string> {
  const lines: string[] = [];
  const say = (text: string) => void lines.push(text.replaceAll(folder, "."));
  const code = await main(args, { out: say, err: say, width: WIDTH, folder });
  return [...lines, `ended with ${code}`].join("\n");
}

function written(place: string): string {
  try {
    return readFileSync(place, "utf8");
  } catch {
    return "none";
  }
}
