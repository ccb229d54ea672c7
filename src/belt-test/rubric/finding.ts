/** What `rubricFindings` can say. A fault makes the rubric unusable; a warning asks whether it is meant. */
export const faultFindings = [
  // the file does not fit the schema
  "NOT_A_RUBRIC",
  "FIELD_MISSING",
  "FIELD_UNKNOWN",
  "TYPE_WRONG",
  "CHOICE_UNKNOWN",
  "FORM_WRONG",
  "ID_FORM_WRONG",
  "COLOUR_FORM_WRONG",
  "TEXT_EMPTY",
  "TEXT_TOO_LONG",
  "TEXT_BROKEN",
  "NUMBER_TOO_LARGE",
  "NUMBER_TOO_LOW",
  "NUMBER_TOO_HIGH",
  "LIST_TOO_SHORT",
  "LIST_TOO_LONG",
  "FINDINGS_CUT_SHORT",
  // it fits, and contradicts itself
  "ID_TWICE",
  "LEVEL_TITLE_TWICE",
  "CRITERION_ID_RESERVED",
  "CRITERION_UNKNOWN",
  "CRITERION_LISTED_TWICE",
  "DESCRIPTORS_COUNT",
  "MEETS_OUT_OF_SCALE",
  "POINTS_NOT_RISING",
  "ITEM_ASKS_NOTHING",
  "CHECKLIST_WITH_CRITERIA",
  "CHECKLIST_ONCE_A_SECTION",
  "CHECKLIST_WITH_SIDES",
  "CHECKLIST_MUST_SHOW",
  "FLOOR_IMPOSSIBLE",
  "MUST_SHOW_IMPOSSIBLE",
  "FAULT_UNKNOWN",
] as const;
export const warningFindings = [
  "CRITERION_UNASKED",
  "CRITERION_MARKED_TWICE",
  "CRITERION_WEIGHT_IDLE",
  "SECTION_WEIGHTLESS",
  "PART_WEIGHTLESS",
  "PASS_UNMISSABLE",
  "PASS_UNREACHABLE",
  "PASS_ABOVE_MEETS",
  "FLOOR_ABOVE_PASS",
  "FLOOR_ABOVE_MEETS",
  "MUST_SHOW_ABOVE_MEETS",
  "MUST_SHOW_AGE_GATED",
  "GAP_NEVER",
  "BAND_COVERS_ALL",
  "DROP_NEEDS_THREE",
  "ROBUST_NEEDS_THREE",
  "RANKS_SAME",
  "FAULT_MISFIT",
  "KEPT_TOO_SHORT",
  "LOAD_HEAVY",
  "LOAD_TOO_HEAVY",
] as const;
export type FindingCode = (typeof faultFindings)[number] | (typeof warningFindings)[number];

export type JsonPath = readonly (string | number)[];

export interface Finding {
  severity: "fault" | "warning";
  code: FindingCode;
  /** Where in the file, from its outermost brace. */
  path: JsonPath;
  /** What the sentence needs: names, numbers. */
  with: Record<string, string | number>;
}

const isWarning = new Set<FindingCode>(warningFindings);

export const finding = (
  code: FindingCode,
  path: JsonPath,
  values: Finding["with"] = {},
): Finding => ({ severity: isWarning.has(code) ? "warning" : "fault", code, path, with: values });

/** The path as people write it: `sections[0].items[2].criteria`. Empty for the whole file. */
export function pathText(path: JsonPath): string {
  return path.reduce<string>((text, step) => {
    if (typeof step === "number") return `${text}[${step}]`;
    if (!/^[A-Za-z_$][\w$]*$/.test(step)) return `${text}[${JSON.stringify(step)}]`;
    return text === "" ? step : `${text}.${step}`;
  }, "");
}
