import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { FaultLibrary } from "../core/rubric/fault-library.ts";
import { pathText } from "../core/rubric/finding.ts";
import { readJson } from "./read-file.ts";
import { DEFAULT_FOLDER } from "./read-rubrics.ts";
import { Trouble } from "./trouble.ts";

const NAME = "faults-and-cues.json";

/**
 * The library of faults a rubric may name: the one beside it, else the one in the folder a school keeps its rubrics in.
 * @returns undefined where there is none; then the names of faults are not looked at. @throws Trouble when it is no library.
 */
export function libraryFor(rubricFile: string, folder: string): FaultLibrary | undefined {
  const file = [join(dirname(rubricFile), NAME), join(folder, DEFAULT_FOLDER, NAME)].find((one) =>
    existsSync(one),
  );
  return file && file !== rubricFile ? readLibrary(file) : undefined;
}

/** @throws Trouble when it is no library. */
export function readLibrary(file: string): FaultLibrary {
  const read = FaultLibrary.safeParse(readJson(file));
  if (read.success) return read.data;
  const [issue] = read.error.issues;
  throw new Trouble([
    {
      say: "library-malformed",
      file,
      path: pathText((issue?.path ?? []) as (string | number)[]),
      with: { detail: issue?.message ?? "" },
    },
  ]);
}
