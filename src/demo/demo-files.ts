import { readFileSync } from "node:fs";
import { FaultLibrary } from "../belt-test/rubric/fault-library.ts";
import { Rubric } from "../belt-test/rubric/rubric.ts";
import { Scenario } from "./scenario.ts";

const read = (path: string): unknown =>
  JSON.parse(readFileSync(new URL(`../../${path}`, import.meta.url), "utf8"));

/** The invented belt test, the rubrics its candidates are tested by, and the school's faults and cues. */
export function demoFiles(): { scenario: Scenario; rubrics: Rubric[]; library: FaultLibrary } {
  const scenario = Scenario.parse(read("demo-data/scenario.json"));
  const ids = [...new Set(scenario.candidates.map(({ rubric }) => rubric))];
  return {
    scenario,
    rubrics: ids.map((id) => Rubric.parse(read(`scoring-rubrics/${id}.json`))),
    library: FaultLibrary.parse(read("scoring-rubrics/faults-and-cues.json")),
  };
}
