import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { outcome } from "../../src/belt-test/verdict/outcome-of.ts";
import { harmless } from "../../src/book/harmless-text.ts";
import { resultsCsv } from "../../src/command-line/results-csv.ts";
import type { TestResults } from "../../src/command-line/test-results.ts";
import { aCase } from "../builders/a-case.ts";

const one = aCase();
const computed = outcome(one);

/** The table of one candidate who is called so, and the cells a spreadsheet makes of it. */
function cellsOf(name: string, candidate = "candidate-1") {
  const csv = resultsCsv({
    candidates: [
      {
        candidate: candidate as CandidateId,
        name,
        number: 1,
        rubric: one.rubric,
        outcome: computed,
        change: null,
        overalls: [],
        issued: "pass",
        repeats: [],
      },
    ],
  } as unknown as TestResults);
  const [header, row, ...rest] = Papa.parse<string[]>(csv.trimEnd(), { delimiter: "," }).data;
  expect(rest).toEqual([]);
  expect(row?.length).toBe(header?.length);
  return row as string[];
}

/** Source of the list: OWASP, CSV Injection. */
const starts = ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"];

describe("the table of results in a spreadsheet", () => {
  it.each([
    '=HYPERLINK("http://evil.example","Ada")',
    "=cmd|' /C calc'!A0",
    "=1+1\nsecond line",
    "  =1+1",
    "\t=1+1",
    "@SUM(1,1)",
    "+49 30 1234",
    "-2+3",
    "＝1＋1",
    '"=1+1',
    "Ada,=1+1",
    'Ada"\r\n=1+1,"',
  ])("runs nothing that a name says: %j", (name) => {
    for (const cell of cellsOf(name, name)) expect(starts).not.toContain(cell.trimStart()[0] ?? "");
  });

  it("gives every name back, but for the apostrophe before what could run", () => {
    const near = fc.string({ unit: fc.constantFrom(...starts, '"', "'", ",", ";", " ", "a", "é") });
    fc.assert(
      fc.property(fc.oneof(near, fc.string()), (name) => {
        const cell = cellsOf(name)[2] ?? "";
        expect(starts).not.toContain(cell.trimStart()[0] ?? "");
        const shown = harmless(name).replaceAll(";", ",");
        expect([shown, `'${shown}`]).toContain(cell);
      }),
      { numRuns: 500 },
    );
  });
});
