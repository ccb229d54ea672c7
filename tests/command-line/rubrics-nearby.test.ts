import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { rubricsNearby } from "../../src/command-line/read-rubrics.ts";
import { Trouble } from "../../src/command-line/trouble.ts";
import { aRubric } from "../builders/a-rubric.ts";
import { aFolder } from "./run.ts";

describe("[V139] the rubrics of the folder beside a spreadsheet", () => {
  const sound = aRubric();
  const nearby = (files: Record<string, object>) => {
    const folder = aFolder();
    mkdirSync(join(folder, "scoring-rubrics"));
    for (const [name, file] of Object.entries(files))
      writeFileSync(join(folder, "scoring-rubrics", name), JSON.stringify(file));
    return rubricsNearby(folder);
  };

  it("are those that are sound; what is no rubric is passed over", () => {
    const found = nearby({ "a.json": sound, "faults.json": { faults: [] } });
    expect(found.map(({ id }) => id)).toEqual([sound.id]);
  });

  it("are refused where one contradicts itself: nothing is reckoned with it", () => {
    const [lowest, ...rest] = sound.scale.levels;
    const falling = { ...sound, scale: { ...sound.scale, levels: [...rest, lowest] } };
    expect(() => nearby({ "a.json": sound, "b.json": falling })).toThrow(Trouble);
  });
});
