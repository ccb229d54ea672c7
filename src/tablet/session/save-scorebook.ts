import { fileSeal, heldInFile } from "../../belt-test/scorebook/file-seal.ts";
import { scorebookFile } from "../../belt-test/scorebook/scorebook-file.ts";
import type { Pass, TabletStore } from "../../ports/tablet-store.ts";
import { fileWord, saveFile } from "../parts/save-file.ts";

/** Everything this device holds of a grading, as a file. @returns the file's name. */
export async function saveScorebook(
  store: TabletStore,
  { pass, title }: { pass: Pass; title: string },
): Promise<string> {
  const [rows, sides] = await Promise.all([store.read(pass.grading, 0), store.sides(pass.grading)]);
  const name = `${fileWord(title)}-${fileWord(pass.name)}.scorebook.json`;
  const entries = rows.map(({ entry }) => entry);
  const { heads, passedOver, fromFiles } = pass;
  const beside = { heads, passedOver, filesSince: fromFiles?.since };
  const file = scorebookFile(pass.grading, entries, sides, pass.person, beside);
  const seal = pass.token && fileSeal(heldInFile(file), pass.device, pass.token);
  saveFile(name, JSON.stringify(seal ? { ...file, seal } : file));
  return name;
}
