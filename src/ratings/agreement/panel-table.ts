/**
 * Marks of a panel: a row for each performance (a candidate, or a candidate's item and criterion), a column for each judge;
 * `null` where a judge did not mark. Every row is as long as the first.
 */
export type PanelTable = readonly (readonly (number | null)[])[];

/** Why a figure cannot be computed from these marks. The words for each are the screen's and the terminal's. */
export type Reason =
  | "no-marks"
  | "one-judge"
  | "one-performance"
  | "no-shared-performances"
  | "too-few-complete"
  | "all-equal"
  | "performances-equal"
  | "no-error-left"
  | "no-interval"
  | "negative-marks";
export interface Unsupported {
  reason: Reason;
}
export const isUnsupported = (answer: object): answer is Unsupported => "reason" in answer;

/**
 * Refuses what would poison every figure.
 * @throws RangeError for a mark that is not finite, or rows of different length: a bug, since input is read by a schema.
 */
export function checkPanelTable(name: string, table: PanelTable): void {
  for (const row of table) {
    if (row.length !== table[0]?.length) throw new RangeError(`${name}: rows differ in length`);
    const wrong = row.find((mark) => mark !== null && !Number.isFinite(mark));
    if (wrong !== undefined) throw new RangeError(`${name}: ${wrong} is not a finite mark`);
  }
}

/**
 * The performances that every judge marked, and how many others were left out.
 *
 * A row without any mark counts as left out too.
 * @throws RangeError for a mark that is not finite, or rows of different length.
 * @example
 * completeRows([[1, 2], [3, null]]); // => { rows: [[1, 2]], leftOut: 1 }
 */
export function completeRows(table: PanelTable): { rows: number[][]; leftOut: number } {
  checkPanelTable("completeRows", table);
  const rows = table.filter((row): row is number[] => row.every((mark) => mark !== null));
  return { rows: rows.map((row) => [...row]), leftOut: table.length - rows.length };
}

/** Why a complete table cannot be had, or null: one judge, one performance, nothing shared. */
export function whyNotComplete(table: PanelTable, complete: readonly number[][]): Reason | null {
  if (!table.some((row) => row.some((mark) => mark !== null))) return "no-marks";
  if ((table[0]?.length ?? 0) < 2) return "one-judge";
  if (table.length < 2) return "one-performance";
  if (complete.length === 0) return "no-shared-performances";
  return complete.length < 2 ? "too-few-complete" : null;
}
