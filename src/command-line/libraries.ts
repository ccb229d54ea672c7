import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { FaultLibrary } from "../belt-test/rubric/fault-library.ts";
import { pathText } from "../belt-test/rubric/finding.ts";
import { readJson } from "./read-file.ts";
import { DEFAULT_FOLDER } from "./read-rubrics.ts";
import { Trouble } from "./trouble.ts";

const NAME = "faults-and-cues.json";

/** The libraries of faults that rubrics may name, each file read once however many rubrics go by it. */
export interface Libraries {
  /**
   * The library beside a rubric, else the one in the folder a school keeps its rubrics in.
   * @returns undefined where there is none; then the names of faults are not looked at. @throws Trouble when it is no library.
   */
  libraryFor: (rubricFile: string) => FaultLibrary | undefined;
  /** What a file holds. @throws Trouble when it is no JSON. */
  contentOf: (file: string) => unknown;
  /** @throws Trouble when it is no library. */
  libraryIn: (file: string) => FaultLibrary;
}

/** @param folder where the command was given. @param read tests count how often. */
export function librariesIn(folder: string, read: (file: string) => unknown = readJson): Libraries {
  const contentOf = once(read);
  const libraryIn = once((file) => asLibrary(file, contentOf(file)));
  return {
    contentOf,
    libraryIn,
    libraryFor: (rubricFile) => {
      const file = [join(dirname(rubricFile), NAME), join(folder, DEFAULT_FOLDER, NAME)].find(
        (one) => existsSync(one),
      );
      return file && file !== rubricFile ? libraryIn(file) : undefined;
    },
  };
}

function once<Found>(of: (file: string) => Found): (file: string) => Found {
  const known = new Map<string, Found>();
  return (file) => {
    if (!known.has(file)) known.set(file, of(file));
    return known.get(file) as Found;
  };
}

function asLibrary(file: string, content: unknown): FaultLibrary {
  const read = FaultLibrary.safeParse(content);
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
