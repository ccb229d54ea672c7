import { readdirSync, readFileSync } from "node:fs";

const folder = new URL("../../scoring-rubrics/", import.meta.url);
const json = (name: string): unknown => JSON.parse(readFileSync(new URL(name, folder), "utf8"));

/** Every rubric that comes with the product, as it stands in its file. */
export const shippedRubrics: readonly { file: string; json: unknown }[] = readdirSync(folder)
  .filter(
    (name) => name.endsWith(".json") && !name.includes("schema") && !name.startsWith("faults"),
  )
  .map((file) => ({ file, json: json(file) }));

export const shippedFaultLibrary: unknown = json("faults-and-cues.json");
