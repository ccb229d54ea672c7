import type { BorderlineCase } from "../belt-test/items/borderline.ts";
import { plainNumber } from "./plain-number.ts";
import { readCsv, shown } from "./read-csv.ts";
import { complaint } from "./statistics-trouble.ts";
import { type Complaint, Trouble } from "./trouble.ts";

export interface ValueLine {
  line: number;
  value: number;
}

/** The column `value`, every line a number. @throws Trouble with every line that is none. */
export function readValues(file: string): ValueLine[] {
  return numbers(file, readCsv(file, ["value"], ["label"]), "value");
}

/** The columns `group,value`: each group's values in the order they came, groups in the order they first came. */
export function readGroups(file: string): { name: string; values: number[] }[] {
  const rows = readCsv(file, ["group", "value"], []);
  const empty = rows.filter(({ cells }) => cells.group === "");
  if (empty.length > 0)
    throw new Trouble(
      empty.map(({ line }) => complaint("cell-empty", { name: "group" }, { file, line })),
    );
  const values = numbers(file, rows, "value");
  const groups = new Map<string, number[]>();
  rows.forEach(({ cells }, i) => {
    const known = groups.get(cells.group);
    const value = (values[i] as ValueLine).value;
    if (known) known.push(value);
    else groups.set(cells.group, [value]);
  });
  return [...groups].map(([name, own]) => ({ name, values: own }));
}

/** The columns `score,judgement`: percent, and 1 clear retest to 4 strong. @throws Trouble with every line outside those. */
export function readCases(file: string): BorderlineCase[] {
  const rows = readCsv(file, ["score", "judgement"], ["test", "candidate", "section"]);
  const scores = numbers(file, rows, "score");
  const judgements = numbers(file, rows, "judgement");
  const cases = rows.map((_, i) => ({
    score: (scores[i] as ValueLine).value,
    judgement: (judgements[i] as ValueLine).value,
  }));
  const outside = cases.flatMap(({ score, judgement }, i) =>
    score >= 0 && score <= 100 && judgement >= 1 && judgement <= 4
      ? []
      : [complaint("case-outside", { score, judgement }, { file, line: rows[i]?.line ?? 0 })],
  );
  if (outside.length > 0) throw new Trouble(outside);
  return cases;
}

/** A column as numbers. @throws Trouble with every line that holds none. */
export function numbers<Name extends string>(
  file: string,
  rows: readonly { line: number; cells: Record<Name, string> }[],
  name: Name,
): ValueLine[] {
  const complaints: Complaint[] = [];
  const values = rows.map(({ line, cells }) => {
    const value = plainNumber(cells[name]);
    if (value === null)
      complaints.push(
        cells[name] === ""
          ? complaint("cell-empty", { name }, { file, line })
          : complaint("value-no-number", { value: shown(cells[name]), name }, { file, line }),
      );
    return { line, value: value ?? 0 };
  });
  if (complaints.length > 0) throw new Trouble(complaints);
  return values;
}
