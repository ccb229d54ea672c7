import { aScorebookFile } from "./a-scorebook-file.ts";
import { aFolder, run } from "./run.ts";

/** A folder whose `evenhand-data` holds one belt test, with how many entries it has. */
export async function aHubFolder(): Promise<{ folder: string; entries: number }> {
  const { file } = aScorebookFile();
  const folder = aFolder({ "book.json": file });
  const { code, err } = await run(folder, ["import", "book.json"]);
  if (code !== 0) throw new Error(`aHubFolder: ${err}`);
  return { folder, entries: file.entries.length };
}
