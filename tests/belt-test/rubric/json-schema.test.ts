import { expect, it } from "vitest";
import { isUpToDate, jsonSchemas } from "../../tools/write-json-schema.ts";

it.each(Object.keys(jsonSchemas) as (keyof typeof jsonSchemas)[])(
  "[R6] %s says what the code says (else run npx tsx tests/tools/write-json-schema.ts)",
  (path) => expect(isUpToDate(path)).toBe(true),
);
