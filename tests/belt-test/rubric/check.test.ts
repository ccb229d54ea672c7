import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isSound, rubricFindings } from "../../../src/belt-test/rubric/check.ts";
import { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import {
  type FindingCode,
  faultFindings,
  pathText,
  warningFindings,
} from "../../../src/belt-test/rubric/finding.ts";
import { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import rubricFindingsWords from "../../../src/words/en/rubric-findings.json" with { type: "json" };
import { sayIn } from "../../../src/words/say.ts";
import { aCase } from "../../builders/a-case.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { shippedFaultLibrary, shippedRubrics } from "../../builders/shipped-rubrics.ts";

const library = FaultLibrary.parse(shippedFaultLibrary);
const say = sayIn(rubricFindingsWords);

type Change = readonly [path: string, value: unknown];
/** A sound rubric as JSON with some places changed; undefined takes a field out. */
function changed(...changes: readonly Change[]): unknown {
  const json: unknown = JSON.parse(JSON.stringify(aRubric()));
  for (const [path, value] of changes) {
    const steps = path.split(/[.[\]]+/).filter(Boolean);
    const last = steps.pop() ?? "";
    let place = json as Record<string, unknown>;
    for (const step of steps) place = place[step] as Record<string, unknown>;
    if (value === undefined) delete place[last];
    else place[last] = value;
  }
  return json;
}
const { criteria, sections } = aRubric();
const fourPoints = ["chamber", "extension", "target", "spirit"];
const topIs80: Change = ["scale.levels[3].points", 80];

/** One way to earn each code: where it is reported, and what was changed. */
const earned: Partial<Record<FindingCode, readonly [at: string, ...Change[]]>> = {
  FIELD_MISSING: ["pass.mark", ["pass.mark", undefined]],
  FIELD_UNKNOWN: ["sections[0].wieght", ["sections[0].wieght", 2]],
  TYPE_WRONG: ["version", ["version", "1"]],
  CHOICE_UNKNOWN: ["sections[0].marking", ["sections[0].marking", "row"]],
  FORM_WRONG: ["language", ["language", "English"]],
  ID_FORM_WRONG: [
    "sections[0].items[0].criteria[1]",
    ["sections[0].items[0].criteria[1]", "Full Reach"],
  ],
  COLOUR_FORM_WRONG: ["to.belt.colour", ["to.belt.colour", "yellow"]],
  TEXT_EMPTY: ["title", ["title", "  "]],
  TEXT_TOO_LONG: ["criteria[0].title", ["criteria[0].title", "a".repeat(121)]],
  TEXT_BROKEN: ["title", ["title", "a\u0000b"]],
  NUMBER_TOO_LARGE: ["sections[1].weight", ["sections[1].weight", JSON.parse("1e400")]],
  NUMBER_TOO_LOW: ["sections[1].weight", ["sections[1].weight", 0]],
  NUMBER_TOO_HIGH: ["pass.mark", ["pass.mark", 101]],
  LIST_TOO_SHORT: ["sections[1].items", ["sections[1].items", []]],
  LIST_TOO_LONG: ["sections", ["sections", Array(17).fill(sections[0])]],
  ID_TWICE: ["sections[1].items[0].id", ["sections[1].items[0].id", "rising-block"]],
  LEVEL_TITLE_TWICE: ["scale.levels[2].title", ["scale.levels[2].title", "Nearly"]],
  CRITERION_ID_RESERVED: [
    "criteria[5].id",
    ["criteria[5]", { ...criteria[0], id: "done" }],
    ["sections[0].items[1].criteria[2]", "done"],
  ],
  CRITERION_UNKNOWN: [
    "sections[0].items[0].criteria[0]",
    ["sections[0].items[0].criteria[0]", "chambre"],
  ],
  CRITERION_LISTED_TWICE: [
    "sections[0].onceASection.criteria[1]",
    ["sections[0].onceASection.criteria[1]", "stance"],
  ],
  DESCRIPTORS_COUNT: ["criteria[2].descriptors", ["criteria[2].descriptors", ["bad", "good"]]],
  MEETS_OUT_OF_SCALE: ["scale.meetsLevel", ["scale.meetsLevel", 5]],
  POINTS_NOT_RISING: ["scale.levels[2].points", ["scale.levels[2].points", 33.3]],
  ITEM_ASKS_NOTHING: ["sections[0].items[1].criteria", ["sections[0].items[1].criteria", []]],
  CHECKLIST_WITH_CRITERIA: [
    "sections[1].items[0].criteria",
    ["sections[1].items[0].criteria", ["spirit"]],
  ],
  CHECKLIST_ONCE_A_SECTION: [
    "sections[1].onceASection",
    ["sections[1].onceASection", { criteria: ["spirit"] }],
  ],
  CHECKLIST_WITH_SIDES: ["sections[1].items[0].sides", ["sections[1].items[0].sides", "each"]],
  CHECKLIST_MUST_SHOW: [
    "sections[1].items[1].mustShow",
    ["sections[1].items[1].mustShow", { floor: 50 }],
  ],
  FLOOR_IMPOSSIBLE: ["sections[0].floor", topIs80, ["sections[0].floor", 81]],
  MUST_SHOW_IMPOSSIBLE: [
    "sections[0].items[0].mustShow",
    topIs80,
    ["sections[0].items[0].mustShow", { floor: 81 }],
  ],
  FAULT_UNKNOWN: [
    "sections[0].items[0].faults[0]",
    ["sections[0].items[0].faults", ["no-such-fault"]],
  ],
  CRITERION_UNASKED: [
    "criteria[5]",
    ["criteria[5]", { ...criteria[0], id: "posture", title: "Posture" }],
  ],
  CRITERION_MARKED_TWICE: [
    "sections[0].items[1].criteria[2]",
    ["sections[0].items[1].criteria[2]", "stance"],
  ],
  CRITERION_WEIGHT_IDLE: [
    "criteria[0].weight",
    ["criteria[0].weight", 2],
    ["sections[0].onceASection.criteria", ["stance"]],
    ["sections[0].items[1].criteria", ["chamber", "spirit"]],
  ],
  SECTION_WEIGHTLESS: ["sections[1].weight", ["sections[1].weight", 0.03]],
  PART_WEIGHTLESS: ["sections[0].items[1].weight", ["sections[0].items[1].weight", 0.02]],
  PASS_UNMISSABLE: ["pass.mark", ["pass.mark", 0], ["sections[0].floor", 0]],
  // (3 · 80 + 1 · 100) / 4 = 85
  PASS_UNREACHABLE: ["pass.mark", topIs80, ["pass.mark", 85.1]],
  // (3 · 66.7 + 1 · 100) / 4 = 75.025, which rounds to 75.0
  PASS_ABOVE_MEETS: ["pass.mark", ["pass.mark", 75.1]],
  FLOOR_ABOVE_PASS: ["sections[0].floor", ["sections[0].floor", 61]],
  FLOOR_ABOVE_MEETS: ["sections[0].floor", ["pass.mark", 70], ["sections[0].floor", 67]],
  MUST_SHOW_ABOVE_MEETS: [
    "sections[0].items[0].mustShow.floor",
    ["sections[0].items[0].mustShow", { floor: 70 }],
  ],
  MUST_SHOW_AGE_GATED: [
    "sections[0].items[0].mustShow",
    ["sections[0].items[0].mustShow", { floor: 33 }],
    ["sections[0].items[0].minimumAge", 16],
  ],
  GAP_NEVER: ["disagreement.levelGap", ["disagreement.levelGap", 4]],
  BAND_COVERS_ALL: [
    "disagreement.borderlineBand",
    ["pass.mark", 50],
    ["disagreement.borderlineBand", 50],
  ],
  DROP_NEEDS_THREE: ["panel.quorum", ["panel.combine", "drop-high-low"]],
  ROBUST_NEEDS_THREE: ["panel.quorum", ["panel.combine", "robust"]],
  RANKS_SAME: ["to.id", ["to.id", "kyu-9"]],
  FAULT_MISFIT: ["sections[0].items[0].faults[0]", ["sections[0].items[0].faults", ["no-pivot"]]],
  KEPT_TOO_SHORT: ["retest.keptMonths", ["retest.keptMonths", 0]],
  // 60 · 6 · 4 · 0.2 / 27 = 10.7 and 60 · 6 · 5 · 0.2 / 27 = 13.3 entries a minute
  LOAD_HEAVY: [
    "sections[0].items[0].criteria",
    ["sections[0].onceASection.criteria", ["stance"]],
    ["sections[0].items[0].criteria", fourPoints],
  ],
  LOAD_TOO_HEAVY: [
    "sections[0].items[0].criteria",
    ["sections[0].onceASection", undefined],
    ["sections[0].items[0].criteria", [...fourPoints, "stance"]],
  ],
};
const cases = (Object.entries(earned) as [FindingCode, [string, ...Change[]]][]).map(
  ([code, [at, ...changes]]) => ({ code, at, changes }),
);
/** Earned by a whole file: tested apart. */
const apart: FindingCode[] = ["NOT_A_RUBRIC", "FINDINGS_CUT_SHORT"];

describe("checking a rubric", () => {
  it("[R9] has nothing to say of a sound one", () => {
    expect(rubricFindings(changed(), library)).toEqual([]);
  });

  it.each(cases)(
    "[R7, R8, R9] says $code, at its place, in plain words, and nothing else",
    ({ code, at, changes }) => {
      const findings = rubricFindings(changed(...changes), library);
      expect(findings.map((found) => `${found.code} ${pathText(found.path)}`)).toEqual([
        `${code} ${at}`,
      ]);
      const [found] = findings;
      expect(found?.severity).toBe(
        (warningFindings as readonly string[]).includes(code) ? "warning" : "fault",
      );
      expect(isSound(findings)).toBe(found?.severity === "warning");
      expect(say(code, found?.with)).not.toMatch(/[{}]|undefined|something else/);
    },
  );

  it.each([
    ["sections[1].weight", 0.001, Number.MIN_VALUE],
    ["criteria[0].weight", 0.001, 1e-308],
    ["sections[0].items[1].weight", 0.001, 0.000_999],
    ["sections[0].onceASection.weight", 0.001, 1e-308],
    ["scale.levels[1].points", 0.001, Number.MIN_VALUE],
    ["scale.levels[2].points", 33.301, 33.3000001],
  ])("[L116] says that %s is at least %d, and that %d is not", (at, least, tooFine) => {
    const values = { field: at.split(".").at(-1), value: String(tooFine), limit: least };
    expect(rubricFindings(changed([at, tooFine]), library)).toMatchObject([
      { severity: "fault", code: "NUMBER_TOO_LOW", with: values },
    ]);
    expect(isSound(rubricFindings(changed([at, least]), library))).toBe(true);
  });

  it("[R7] guesses the field that was meant", () => {
    const [found] = rubricFindings(changed(["sections[0].wieght", 2]));
    expect(say("FIELD_UNKNOWN", found?.with)).toContain("Did you mean “weight”?");
    const [stranger] = rubricFindings(changed(["colourOfTheHall", 2]));
    expect(say("FIELD_UNKNOWN", stranger?.with)).toContain("Take it out");
  });

  it.each([null, 3, "rubric", [], true])("[R7] %j is no rubric", (json) => {
    expect(rubricFindings(json).map(({ code }) => code)).toEqual(["NOT_A_RUBRIC"]);
  });

  it("[R9] speaks of the pass mark as a verdict reads it, whatever the rounding", () => {
    const marks = fc.record({
      mark: fc.integer({ min: 600, max: 900 }).map((tenths) => tenths / 10),
      to: fc.constantFrom(0.1, 0.5, 1),
      mode: fc.constantFrom("half-up", "half-even", "down"),
      points: fc.integer({ min: 400, max: 900 }).map((tenths) => tenths / 10),
    });
    fc.assert(
      fc.property(marks, ({ mark, to, mode, points }) => {
        const json = changed(
          ["pass", { mark, rounding: { to, mode } }],
          ["scale.levels[2].points", points],
          ["scale.levels[3].points", 100],
          ["sections[0].weight", 1],
          ["sections[0].floor", 0],
          ["sections[1].weight", 1],
          ["sections[1].floor", 0],
        );
        const rubric = Rubric.parse(json);
        const codes = rubricFindings(json, library).map(({ code }) => code);
        expect(codes.includes("PASS_ABOVE_MEETS")).toBe(
          outcome(aCase({ rubric })).computed !== "pass",
        );
      }),
      // (41 + 100) / 2 = 70.5, which rounds to 70.
      { examples: [[{ mark: 71, to: 1, mode: "half-even", points: 41 }]] },
    );
  });

  it("[R9] says how many candidates a judge can carry", () => {
    const { changes = [] } = cases.find(({ code }) => code === "LOAD_TOO_HEAVY") ?? {};
    const [found] = rubricFindings(changed(...changes));
    // Three on five criteria need 11.6 s of 11; two need 8.4.
    expect(found?.with).toMatchObject({ candidates: 6, criteria: 5, demand: 13.3, carries: 2 });
    expect(say("LOAD_TOO_HEAVY", found?.with)).toContain("One judge can carry 2 candidates");
  });

  it("[R10] stops at a hundred findings and says so", () => {
    const nonsense = Array.from({ length: 5000 }, (_, at): Change => [`nonsense${at}`, at]);
    const flood = changed(...nonsense);
    const findings = rubricFindings(flood);
    expect(findings).toHaveLength(101);
    expect(findings.at(-1)?.code).toBe("FINDINGS_CUT_SHORT");
  });

  it("[R10] answers whatever it is given", () => {
    fc.assert(
      fc.property(fc.jsonValue(), (json) => {
        expect(rubricFindings(json).length).toBeGreaterThan(0);
      }),
    );
    const sound = changed() as Record<string, unknown>;
    fc.assert(
      fc.property(fc.constantFrom(...Object.keys(sound)), fc.jsonValue(), (key, value) => {
        const findings = rubricFindings({ ...sound, [key]: value });
        expect(findings.length).toBeLessThanOrEqual(101);
        for (const { code, with: values } of findings)
          expect(say(code, values)).not.toMatch(/undefined/);
      }),
    );
  });

  it.each(shippedRubrics)("[R11] $file has no fault and no warning", ({ json }) => {
    expect(rubricFindings(json, library)).toEqual([]);
  });

  it("[R12] every code has words and a test, and no words are without a code", () => {
    const codes = [...faultFindings, ...warningFindings].sort();
    expect(
      Object.keys(rubricFindingsWords)
        .filter((key) => key !== "area")
        .sort(),
    ).toEqual(codes);
    expect([...cases.map(({ code }) => code), ...apart].sort()).toEqual(codes);
  });
});
