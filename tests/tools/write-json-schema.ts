import { readFileSync, writeFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import * as z from "zod/mini";
import { FaultLibrary } from "../../src/belt-test/rubric/fault-library.ts";
import { Rubric } from "../../src/belt-test/rubric/rubric.ts";

/** Beside the rubrics, so that an editor can help whoever writes one. What a person may leave out is left out: `io: "input"`. */
export const jsonSchemas = {
  "scoring-rubrics/rubric.schema.json": () =>
    schemaText(Rubric, "A rubric: what one belt test asks, and what counts how much"),
  "scoring-rubrics/faults-and-cues.schema.json": () =>
    schemaText(FaultLibrary, "Faults that judges see, with cues and practice"),
};

function schemaText(schema: z.ZodMiniType, title: string): string {
  return `${JSON.stringify({ title, ...z.toJSONSchema(schema, { io: "input" }) }, null, 2)}\n`;
}

const root = new URL("../../", import.meta.url);

/** Whether the file as it stands says what the schema in the code says. */
export const isUpToDate = (path: keyof typeof jsonSchemas): boolean =>
  readFileSync(new URL(path, root), "utf8") === jsonSchemas[path]();

// Run by hand: npx tsx tests/tools/write-json-schema.ts
if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  for (const path of Object.keys(jsonSchemas) as (keyof typeof jsonSchemas)[]) {
    writeFileSync(new URL(path, root), jsonSchemas[path]());
  }
}
