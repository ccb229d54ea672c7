import { LONGEST_NAME, rosterNumber, rosterYear } from "../belt-test/planning/roster-cells.ts";
import { type Row, readCsv, shown } from "./read-csv.ts";
import { type Complaint, Trouble } from "./trouble.ts";

export interface Rostered {
  candidate: string;
  name: string;
  number: number | undefined;
  /** Empty: whichever applies. */
  rubric: string;
  birthYear: number | undefined;
  line: number;
}

const columns = [
  "candidate",
  "given",
  "family",
  "number",
  "rubric",
  "birth-year",
  "sounds",
] as const;
type Cells = Row<(typeof columns)[number]>["cells"];
/** The test's own day is not known here; nobody is born later than this. */
const LATEST_YEAR = 2100;

/**
 * Who is who: `candidate[,given,family,number,rubric,birth-year,sounds]`, by the candidate's id in the marks.
 * A roster made for setting up a test has no such column: there the number is the id. @throws Trouble with every bad line.
 */
export function readRoster(file: string): Map<string, Rostered> {
  const rows = readCsv(file, [], columns);
  const isByNumber =
    rows.every(({ cells }) => cells.candidate === "") &&
    rows.some(({ cells }) => cells.number !== "");
  const found = new Map<string, Rostered>();
  const lineOf = new Map<number, number>();
  const complaints: Complaint[] = [];
  for (const { line, cells } of rows) {
    const number = rosterNumber(cells.number);
    // Nobody where the cell that says who it is says nothing that can be read.
    const candidate = isByNumber ? (number?.toString() ?? "") : cells.candidate;
    const before = candidate === "" ? undefined : found.get(candidate);
    const twin = number === undefined ? undefined : lineOf.get(number);
    const complain = (say: Complaint["say"], values: Complaint["with"] = {}) =>
      complaints.push({ say, file, line, with: values });
    if (cells.number !== "" && number === undefined)
      complain("roster-number", { number: shown(cells.number) });
    else if (candidate === "")
      complain(isByNumber ? "roster-number-missing" : "roster-candidate-missing");
    else if (before && !isByNumber)
      complain("roster-candidate-twice", { candidate: shown(candidate), other: before.line });
    else if (twin !== undefined)
      complain("roster-number-twice", { number: shown(cells.number), other: twin });
    for (const { say, with: values } of oddCells(cells)) complain(say, values);
    if (number !== undefined) lineOf.set(number, twin ?? line);
    if (!before && candidate !== "")
      found.set(candidate, {
        candidate,
        name: [cells.given, cells.family].filter((part) => part !== "").join(" "),
        number,
        rubric: cells.rubric,
        birthYear: rosterYear(cells["birth-year"], LATEST_YEAR),
        line,
      });
  }
  if (complaints.length > 0) throw new Trouble(complaints);
  return found;
}

function oddCells(cells: Cells): Complaint[] {
  const year = cells["birth-year"];
  const long = [cells.given, cells.family, cells.sounds].find((name) => name.length > LONGEST_NAME);
  return [
    ...(long === undefined
      ? []
      : [{ say: "roster-name-long" as const, with: { name: shown(long), limit: LONGEST_NAME } }]),
    ...(year !== "" && rosterYear(year, LATEST_YEAR) === undefined
      ? [{ say: "roster-year" as const, with: { year: shown(year) } }]
      : []),
  ];
}
