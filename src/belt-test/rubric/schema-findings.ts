import type * as z from "zod/mini";
import { type Finding, finding, type JsonPath } from "./finding.ts";
import { Criterion, Item, Level, PanelRule, Rank, Rubric, Section } from "./rubric.ts";

/** More than a person reads at one go; what follows is usually the same slip again. */
const MOST_FINDINGS = 100;
/** Characters of a wrong value that are shown. */
const VALUE_SHOWN = 40;

/**
 * What keeps a file from being a rubric, place by place.
 *
 * @param json whatever the file held, already read as JSON. @param read  the same as the schema read it
 * @returns the faults in the order of the schema, at most 100 and then one that says so; none if it fits.
 */
export function schemaFindings(json: unknown, read = Rubric.safeParse(json)): Finding[] {
  if (read.success) return brokenTexts(json);
  if (!isRecord(json)) return [finding("NOT_A_RUBRIC", [], { found: kindOf(json) })];
  const found: Finding[] = [];
  for (const issue of read.error.issues) {
    found.push(...explained(issue, json));
    if (found.length > MOST_FINDINGS)
      return [
        ...found.slice(0, MOST_FINDINGS),
        finding("FINDINGS_CUT_SHORT", [], { shown: MOST_FINDINGS }),
      ];
  }
  return found;
}

/** Half of a surrogate pair has no canonical form, and no line with it is taken; U+0000 ends a text where other programs read it. */
const broken = /[\p{Surrogate}\0]/u;
/** Texts of what fits the schema, which is as deep as that. */
function brokenTexts(json: unknown, path: JsonPath = []): Finding[] {
  if (typeof json === "string") {
    const field = String(path.findLast((step) => typeof step === "string") ?? "");
    return broken.test(json) ? [finding("TEXT_BROKEN", path, { field })] : [];
  }
  if (typeof json !== "object" || json === null) return [];
  const isList = Array.isArray(json);
  return Object.entries(json)
    .flatMap(([key, value]) => brokenTexts(value, [...path, isList ? Number(key) : key]))
    .slice(0, MOST_FINDINGS);
}

function explained(issue: z.core.$ZodIssue, json: unknown): Finding[] {
  const path = issue.path.map((step) => (typeof step === "symbol" ? String(step) : step));
  const field = String(path.findLast((step) => typeof step === "string") ?? "");
  if (issue.code === "unrecognized_keys")
    return issue.keys.slice(0, MOST_FINDINGS + 1).map((key) =>
      finding("FIELD_UNKNOWN", [...path, key], {
        field: shown(key),
        nearest: nearestField(key) ?? "none",
      }),
    );
  const value = valueAt(json, path);
  if (value === undefined) return [finding("FIELD_MISSING", path, { field })];
  const values = { field, value: shown(value), found: kindOf(value) };
  switch (issue.code) {
    case "invalid_type":
      // What a number beyond all that a computer reckons with is read as.
      if (typeof value === "number" && Math.abs(value) === Number.POSITIVE_INFINITY)
        return [finding("NUMBER_TOO_LARGE", path, { field })];
      return [finding("TYPE_WRONG", path, { ...values, expected: issue.expected })];
    case "invalid_value":
      return [
        finding("CHOICE_UNKNOWN", path, {
          ...values,
          choices: issue.values.map(String).join(", "),
        }),
      ];
    case "invalid_format":
      return [finding(formCode(field, issue.pattern), path, values)];
    case "too_small": {
      const limit = {
        ...values,
        limit: Number(issue.minimum),
        above: issue.inclusive ? "no" : "yes",
      };
      if (issue.origin === "string") return [finding("TEXT_EMPTY", path, values)];
      return [finding(issue.origin === "array" ? "LIST_TOO_SHORT" : "NUMBER_TOO_LOW", path, limit)];
    }
    case "too_big": {
      const limit = { ...values, limit: Number(issue.maximum) };
      if (issue.origin === "string") return [finding("TEXT_TOO_LONG", path, limit)];
      return [finding(issue.origin === "array" ? "LIST_TOO_LONG" : "NUMBER_TOO_HIGH", path, limit)];
    }
    default:
      return [finding("FORM_WRONG", path, values)];
  }
}

const fieldsOfIds = ["id", "criteria", "faults"];
function formCode(field: string, pattern: string | undefined): Finding["code"] {
  if (fieldsOfIds.includes(field)) return "ID_FORM_WRONG";
  return pattern?.includes("#") ? "COLOUR_FORM_WRONG" : "FORM_WRONG";
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** A word for the kind of a value, which the sentence chooses by. */
function kindOf(value: unknown): string {
  if (value === null) return "null";
  return Array.isArray(value) ? "array" : typeof value;
}

function shown(value: unknown): string {
  if (typeof value === "object") return kindOf(value);
  const text = String(value);
  return text.length > VALUE_SHOWN ? `${text.slice(0, VALUE_SHOWN)}…` : text;
}

function valueAt(json: unknown, path: JsonPath): unknown {
  let value = json;
  for (const step of path) {
    if (typeof value !== "object" || value === null || !Object.hasOwn(value, step))
      return undefined;
    value = (value as Record<string | number, unknown>)[step];
  }
  return value;
}

const fields = [Rubric, Rank, Level, Criterion, Section, Item, PanelRule].flatMap((schema) =>
  Object.keys(schema.shape),
);
/** The field somebody probably meant: one or two slips of the pen away. The same word is a field of another place, and no help. */
function nearestField(key: string): string | undefined {
  if (key.length > VALUE_SHOWN) return undefined;
  const slips = fields.map((field) => ({
    field,
    slips: editDistance(key.toLowerCase(), field.toLowerCase()),
  }));
  return slips.filter((a) => a.slips > 0 && a.slips <= 2).sort((a, b) => a.slips - b.slips)[0]
    ?.field;
}

/** Letters to insert, drop or change between two words (Levenshtein 1966). */
function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, at) => at);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(change, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}
