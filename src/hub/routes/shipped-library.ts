import { readFileSync } from "node:fs";
import { FaultLibrary } from "../../belt-test/rubric/fault-library.ts";

const file = new URL("../../../scoring-rubrics/faults-and-cues.json", import.meta.url);
let read: FaultLibrary | undefined;

/** The faults and cues of this version, for a test from before they were frozen with it. */
export function shippedLibrary(): FaultLibrary {
  return (read ??= FaultLibrary.parse(JSON.parse(readFileSync(file, "utf8"))));
}
