import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { rosterOf } from "../../../src/belt-test/planning/roster.ts";

const header = ["number", "given", "family", "rubric", "birth-year", "sounds"];
const known = { rubrics: ["white-to-yellow-junior"], taken: [12], latestYear: 2026 };
const mia = ["7", "Mia", "Example", "white-to-yellow-junior", "2015", "MEE-ah"];
const problemsOf = (rows: string[][]) => {
  const roster = rosterOf(rows, known);
  return roster.ok ? [] : roster.problems;
};

// All rows and answers here are worked by hand; no source.
describe("a roster from a CSV file", () => {
  it("reads every column, in whatever order the columns stand", () => {
    const expected = {
      ok: true,
      candidates: [
        {
          number: 7,
          given: "Mia",
          family: "Example",
          rubric: "white-to-yellow-junior",
          birthYear: 2015,
          sounds: "MEE-ah",
        },
      ],
    };
    expect(rosterOf([header, mia], known)).toEqual(expected);
    expect(rosterOf([[...header].reverse(), [...mia].reverse()], known)).toEqual(expected);
  });

  it("takes the roster that goes with marks on paper, and that of the demonstration", () => {
    const file = readFileSync(new URL("../../../demo-data/roster.csv", import.meta.url), "utf8");
    const rows = file.split("\n").map((line) => line.split(","));
    const roster = rosterOf(rows, {
      rubrics: [...new Set(rows.slice(1).flatMap((cells) => cells[4] ?? []))],
      taken: [],
      latestYear: 2026,
    });
    expect(roster).toMatchObject({ ok: true });
    expect(roster.ok && roster.candidates.length).toBe(rows.filter(([id]) => id).length - 1);
  });

  it("leaves out what the file leaves out, and passes over empty lines", () => {
    const rows = [
      ["\uFEFFNumber", " given ", "rubric"],
      ["", "", ""],
      [" 7 ", " Mia ", "white-to-yellow-junior"],
      [""],
    ];
    expect(rosterOf(rows, known)).toEqual({
      ok: true,
      candidates: [{ number: 7, given: "Mia", rubric: "white-to-yellow-junior" }],
    });
  });

  it("names every bad line with its column and takes none of the good ones", () => {
    const rows = [
      header,
      mia,
      ["7", "Ben", "", "white-to-yellow-junior", "", ""],
      ["12", "Ada", "", "white-to-yellow-junior", "", ""],
      ["0", "", "", "blue-to-black", "15", ""],
      ["8", "Kim", "", "", "2027", "", "one too many"],
    ];
    expect(problemsOf(rows)).toEqual([
      { code: "NUMBER_TWICE", line: 3, column: "number", value: "7", other: 2 },
      { code: "NUMBER_TAKEN", line: 4, column: "number", value: "12" },
      { code: "NUMBER_WRONG", line: 5, column: "number", value: "0" },
      { code: "GIVEN_MISSING", line: 5, column: "given", value: "" },
      { code: "RUBRIC_UNKNOWN", line: 5, column: "rubric", value: "blue-to-black" },
      { code: "YEAR_WRONG", line: 5, column: "birth-year", value: "15" },
      { code: "CELLS_TOO_MANY", line: 6 },
      { code: "RUBRIC_MISSING", line: 6, column: "rubric", value: "" },
      { code: "YEAR_WRONG", line: 6, column: "birth-year", value: "2027" },
    ]);
  });

  it("counts lines from the top of the file, empty ones too", () => {
    expect(problemsOf([header, [""], ["x", "Mia", "", "white-to-yellow-junior"]])).toEqual([
      { code: "NUMBER_WRONG", line: 3, column: "number", value: "x" },
    ]);
  });

  it("says what is wrong with the header before it looks at a line", () => {
    expect(problemsOf([["number", "number", "name"], ["x"]])).toEqual([
      { code: "COLUMN_MISSING", line: 1, column: "given" },
      { code: "COLUMN_MISSING", line: 1, column: "rubric" },
      { code: "COLUMN_TWICE", line: 1, column: "number" },
      { code: "COLUMN_UNKNOWN", line: 1, column: "name" },
    ]);
    expect(problemsOf([])).toEqual([{ code: "EMPTY", line: 1 }]);
    expect(problemsOf([header, ["", ""]])).toEqual([{ code: "EMPTY", line: 2 }]);
  });

  it("refuses a huge file and cuts a huge cell", () => {
    const many = Array.from({ length: 501 }, (_, index) => [
      String(index + 100),
      "Mia",
      "",
      "white-to-yellow-junior",
    ]);
    expect(problemsOf([header, ...many])).toEqual([{ code: "TOO_MANY", line: 502, value: "500" }]);
    const [problem] = problemsOf([header, ["9", "M".repeat(5000), "", "white-to-yellow-junior"]]);
    expect(problem).toMatchObject({ code: "NAME_TOO_LONG", line: 2, column: "given" });
    expect(problem?.value).toHaveLength(41);
  });

  it("never half-imports: whatever the cells, all lines come in or none does", () => {
    const cell = fc.oneof(fc.string({ maxLength: 6 }), fc.constantFrom(...mia));
    fc.assert(
      fc.property(fc.array(fc.array(cell, { maxLength: 7 }), { maxLength: 8 }), (lines) => {
        const roster = rosterOf([header, ...lines], known);
        const filled = lines.filter((cells) => cells.some((one) => one.trim() !== ""));
        if (roster.ok) expect(roster.candidates).toHaveLength(filled.length);
        else expect(roster.problems.length).toBeGreaterThan(0);
      }),
    );
  });
});
