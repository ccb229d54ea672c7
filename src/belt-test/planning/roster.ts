import type { RubricId } from "../identity.ts";
import { csvHeader } from "./csv-header.ts";
import { LONGEST_NAME, rosterNumber, rosterYear } from "./roster-cells.ts";

/** One candidate as a line of a roster tells. */
export interface RosterCandidate {
  number: number;
  given: string;
  family?: string;
  rubric: RubricId;
  birthYear?: number;
  /** How to say the name, for the caller. */
  sounds?: string;
}

const rosterProblems = [
  "EMPTY",
  "TOO_MANY",
  "COLUMN_MISSING",
  "COLUMN_TWICE",
  "COLUMN_UNKNOWN",
  "CELLS_TOO_MANY",
  "NUMBER_WRONG",
  "NUMBER_TWICE",
  "NUMBER_TAKEN",
  "GIVEN_MISSING",
  "NAME_TOO_LONG",
  "RUBRIC_MISSING",
  "RUBRIC_UNKNOWN",
  "YEAR_WRONG",
] as const;
interface RosterProblem {
  code: (typeof rosterProblems)[number];
  /** Counted from 1; the header is line 1. */
  line: number;
  column?: string;
  value?: string;
  /** The line that has the same number. */
  other?: number;
}

export type Roster =
  | { ok: true; candidates: RosterCandidate[] }
  | { ok: false; problems: RosterProblem[] };

const columns = {
  needed: ["number", "given", "rubric"],
  optional: ["family", "birth-year", "sounds"],
  /** By which id a candidate stands among marks on paper, for `report`: a new test gives ids of its own. */
  passedOver: ["candidate"],
} as const;
type Column = (typeof columns)["needed" | "optional"][number];
const codeOf = {
  missing: "COLUMN_MISSING",
  unknown: "COLUMN_UNKNOWN",
  twice: "COLUMN_TWICE",
} as const;
const MOST = 500;

/**
 * Who is to be tested, read from the rows of a CSV file: all of it, or nothing and every line that is wrong.
 *
 * @param rows cells as the CSV parser gives them, header first: `number,given,family,rubric,birth-year,sounds` in any order;
 *   family, birth-year and sounds may be left out, and a column `candidate` is passed over. Spaces around a cell do not count; lines without any cell filled are passed over.
 * @param known `rubrics` the ids that may be named, `taken` numbers in use already, `latestYear` the year of the test.
 * @returns candidates in the order of the file, or all problems, top to bottom; never a part of the file.
 *   A cell longer than 40 letters is cut in a problem's `value`, so that a hostile file cannot fill the screen.
 *
 * Where it fails: two children under one name are two candidates; only numbers tell them apart.
 * @example
 * rosterOf([["number", "given", "rubric"], ["7", "Mia", "white-to-yellow-junior"]], { rubrics: ["white-to-yellow-junior"], taken: [], latestYear: 2026 });
 * // => { ok: true, candidates: [{ number: 7, given: "Mia", rubric: "white-to-yellow-junior" }] }
 */
export function rosterOf(
  rows: readonly (readonly string[])[],
  known: { rubrics: readonly string[]; taken: readonly number[]; latestYear: number },
): Roster {
  const [header, ...lines] = rows;
  if (!header || rows.every(isBlank)) return { ok: false, problems: [{ code: "EMPTY", line: 1 }] };
  const { places, problems: ofHeader } = csvHeader(header, columns);
  if (ofHeader.length > 0)
    return {
      ok: false,
      problems: ofHeader.map(({ is, column }) => ({
        code: codeOf[is],
        line: 1,
        column: shortened(column),
      })),
    };
  const problems: RosterProblem[] = [];
  if (lines.every(isBlank)) return { ok: false, problems: [{ code: "EMPTY", line: 2 }] };
  if (lines.length > MOST)
    return { ok: false, problems: [{ code: "TOO_MANY", line: MOST + 2, value: String(MOST) }] };

  const candidates: RosterCandidate[] = [];
  const lineOf = new Map<number, number>();
  lines.forEach((cells, index) => {
    if (isBlank(cells)) return;
    const line = index + 2;
    const cell = (column: Column) => cells[places.get(column) ?? -1]?.trim() ?? "";
    const wrong = (code: RosterProblem["code"], column: Column, more: { other?: number } = {}) =>
      problems.push({ code, line, column, value: shortened(cell(column)), ...more });

    if (cells.slice(header.length).some((extra) => extra.trim() !== ""))
      problems.push({ code: "CELLS_TOO_MANY", line });

    const number = rosterNumber(cell("number")) ?? 0;
    const twin = lineOf.get(number);
    if (number === 0) wrong("NUMBER_WRONG", "number");
    else if (known.taken.includes(number)) wrong("NUMBER_TAKEN", "number");
    else if (twin !== undefined) wrong("NUMBER_TWICE", "number", { other: twin });
    else lineOf.set(number, line);

    if (cell("given") === "") wrong("GIVEN_MISSING", "given");
    for (const column of ["given", "family", "sounds"] as const)
      if (cell(column).length > LONGEST_NAME) wrong("NAME_TOO_LONG", column);

    if (cell("rubric") === "") wrong("RUBRIC_MISSING", "rubric");
    else if (!known.rubrics.includes(cell("rubric"))) wrong("RUBRIC_UNKNOWN", "rubric");

    const year = cell("birth-year");
    if (year !== "" && rosterYear(year, known.latestYear) === undefined)
      wrong("YEAR_WRONG", "birth-year");

    candidates.push({
      number,
      given: cell("given"),
      rubric: cell("rubric") as RubricId,
      ...(cell("family") === "" ? {} : { family: cell("family") }),
      ...(year === "" ? {} : { birthYear: Number(year) }),
      ...(cell("sounds") === "" ? {} : { sounds: cell("sounds") }),
    });
  });
  return problems.length > 0 ? { ok: false, problems } : { ok: true, candidates };
}

const isBlank = (cells: readonly string[]): boolean => cells.every((cell) => cell.trim() === "");
const shortened = (value: string): string =>
  value.length > 40 ? `${[...value].slice(0, 40).join("")}…` : value;
