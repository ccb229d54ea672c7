import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { main } from "../../../src/command-line/main.ts";
import type { OracleBook } from "../oracle-book.ts";
import type { Views } from "../views.ts";

const WIDTH = 100;

/** What the command line says of a book: results as a table, as JSON and as a spreadsheet; and of unfinished ones what a store that took them in comes to. */
export async function commandViews({ file, isUnfinished }: OracleBook): Promise<Views> {
  const folder = mkdtempSync(join(tmpdir(), "evenhand-oracle-"));
  try {
    writeFileSync(join(folder, "book.json"), JSON.stringify(file));
    const said = (...args: string[]) => saidBy(folder, args);
    const report = await said("report", "book.json", "--out", "out");
    return {
      report,
      // The same text as `--json` prints, out of one reckoning.
      "report --json": written(join(folder, "out/results.json")),
      "results.csv": written(join(folder, "out/results.csv")),
      ...(isUnfinished
        ? {
            import: await said("import", "book.json", "--data", "data"),
            // A new store's key and salts are chance, and so is where its chain stands.
            "verify --json": (await said("verify", "--json", "--data", "data")).replaceAll(
              /[0-9a-f]{64}/g,
              "…",
            ),
          }
        : {}),
    };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** What a command printed, and how it ended; without the folder's own name, which is chance. */
async function saidBy(folder: string, args: readonly string[]): Promise<string> {
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
