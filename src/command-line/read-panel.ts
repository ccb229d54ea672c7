import type { PanelTable } from "../ratings/agreement/panel-table.ts";
import type { Factor, MarkColumns } from "../ratings/components/term.ts";
import { plainNumber } from "./plain-number.ts";
import { readCsv, shown } from "./read-csv.ts";
import { complaint } from "./statistics-trouble.ts";
import { type Complaint, Trouble } from "./trouble.ts";

/** The marks of any panel, in the two shapes that figures need. */
export interface PanelMarks {
  candidates: string[];
  judges: string[];
  /** A row for each performance: a candidate, and item and criterion where the file has them. */
  table: PanelTable;
  /** What makes a performance: candidate, and item, side, criterion where filled. */
  performanceOf: string[];
  columns: MarkColumns;
}

const needed = ["candidate", "judge", "mark"] as const;
const optional = ["section", "item", "side", "criterion", "how", "at"] as const;
const places = ["section", "item", "side", "criterion"] as const;

/**
 * `candidate,judge,mark` and perhaps `section,item,side,criterion`. Empty marks and not-seen are no marks; the same line twice is one.
 * An item is told apart by its section, and by its side where sides are marked apart.
 * @throws Trouble with every line that cannot be read, or gives a cell a second value.
 */
export function readPanel(file: string): PanelMarks {
  const complaints: Complaint[] = [];
  const seen = new Map<string, { line: number; mark: number }>();
  const rows: PanelRow[] = [];
  const cells = readCsv(file, needed, optional);
  const used = places.filter((name) => cells.some((row) => row.cells[name] !== ""));
  for (const { line, cells: given } of cells) {
    const { candidate, judge, mark: text } = given;
    const empty = (["candidate", "judge"] as const).find((name) => given[name] === "");
    const mark = plainNumber(text);
    const where = { file, line };
    if (empty) complaints.push(complaint("cell-empty", { name: empty }, where));
    else if (/^(|not-seen|na)$/i.test(text)) continue;
    else if (mark === null)
      complaints.push(complaint("mark-no-number", { value: shown(text) }, where));
    else {
      const performance = JSON.stringify([candidate, ...used.map((name) => given[name])]);
      const key = JSON.stringify([performance, judge]);
      const before = seen.get(key);
      if (before && before.mark !== mark)
        complaints.push(
          complaint(
            "mark-twice",
            {
              candidate: shown(candidate),
              judge: shown(judge),
              first: String(before.mark),
              second: text,
              other: before.line,
            },
            where,
          ),
        );
      if (before) continue;
      seen.set(key, { line, mark });
      const item = [given.section, given.item, given.side].filter((part) => part !== "").join("/");
      rows.push({ performance, candidate, judge, item, criterion: given.criterion, mark });
    }
  }
  if (complaints.length > 0) throw new Trouble(complaints);

  return panelOf(inPlace(rows), ["candidate", ...used]);
}

/** One mark of a panel. `performance`: rows of the same one are marks of the same thing by several judges. Empty where there is no item or criterion. */
export interface PanelRow {
  performance: string;
  candidate: string;
  judge: string;
  item: string;
  criterion: string;
  mark: number;
}

/** Marks in the two shapes that figures need. @param performanceOf what makes a performance, for the reader. */
export function panelOf(rows: readonly PanelRow[], performanceOf: string[]): PanelMarks {
  const performances = new Map<string, number>();
  const performanceOfRow = rows.map(({ performance }) => {
    const known = performances.get(performance) ?? performances.size;
    performances.set(performance, known);
    return known;
  });
  const names: Record<string, string[]> = {};
  const factors = new Map<string, Factor>();
  const filled = ["candidate", "judge", "item", "criterion"] as const;
  for (const name of filled) {
    const isThere = rows.some((row) => row[name] !== "");
    if (!isThere && name !== "candidate" && name !== "judge") continue;
    // Sorted, so that nothing hangs on the order of the lines; numbers by their size.
    const levels = [...new Set(rows.map((row) => row[name]))].sort(byName);
    const codeOf = new Map(levels.map((level, code) => [level, code]));
    names[name] = levels;
    factors.set(name, {
      levels: levels.length,
      codes: Int32Array.from(rows, (row) => codeOf.get(row[name]) ?? 0),
    });
  }
  const judges = names.judge ?? [];
  const judgeCodes = factors.get("judge")?.codes ?? new Int32Array();
  const table = Array.from(performances, () => new Array<number | null>(judges.length).fill(null));
  rows.forEach(({ mark }, i) => {
    (table[performanceOfRow[i] as number] as (number | null)[])[judgeCodes[i] as number] = mark;
  });
  return {
    candidates: names.candidate ?? [],
    judges,
    table,
    performanceOf,
    columns: { marks: Float64Array.from(rows, ({ mark }) => mark), factors },
  };
}

/** By whose and what: sums of the same numbers in another order differ in their last digits. */
export const inPlace = (rows: readonly PanelRow[]): PanelRow[] =>
  rows
    .map((row) => ({ row, place: placeOf(row) }))
    .sort((a, b) => (a.place < b.place ? -1 : a.place > b.place ? 1 : a.row.mark - b.row.mark))
    .map(({ row }) => row);
const placeOf = ({ performance, candidate, judge, item, criterion }: PanelRow): string =>
  JSON.stringify([performance, candidate, judge, item, criterion]);

const collator = new Intl.Collator("en", { numeric: true });
const byName = (a: string, b: string): number => collator.compare(a, b) || (a < b ? -1 : 1);
