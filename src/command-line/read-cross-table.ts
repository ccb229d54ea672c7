import { type CrossTable, crossTable } from "../ratings/agreement/weighted-kappa.ts";
import { readCsv } from "./read-csv.ts";
import { numbers } from "./read-values.ts";
import { complaint } from "./statistics-trouble.ts";
import { Trouble } from "./trouble.ts";

/**
 * Two judges' categories: a line for each performance (`first,second`), or for each pair of categories with its `count` (or share), and perhaps its `weight`.
 * @throws Trouble for what is no number, a pair given twice beside a count, a count or weight below 0.
 */
export function readCrossTable(file: string): { table: CrossTable; weights: number[][] | null } {
  const rows = readCsv(file, ["first", "second"], ["count", "weight"]);
  const [first, second] = [numbers(file, rows, "first"), numbers(file, rows, "second")];
  const hasCount = rows.some(({ cells }) => cells.count !== "");
  const hasWeight = rows.some(({ cells }) => cells.weight !== "");
  const valuesOf = (some: readonly { value: number }[]) => some.map(({ value }) => value);
  if (!hasCount && !hasWeight)
    return { table: crossTable(valuesOf(first), valuesOf(second)), weights: null };

  const counts = hasCount
    ? numbers(file, rows, "count")
    : rows.map(({ line }) => ({ line, value: 1 }));
  const given = hasWeight ? numbers(file, rows, "weight") : [];
  const categories = [...new Set([...valuesOf(first), ...valuesOf(second)])].sort((a, b) => a - b);
  const zero = () => categories.map(() => new Array<number>(categories.length).fill(0));
  const [cells, weights] = [zero(), hasWeight ? zero() : null];
  const seen = new Map<string, number>();
  rows.forEach(({ line }, i) => {
    const [a, b] = [first[i]?.value ?? 0, second[i]?.value ?? 0];
    const [row, column] = [categories.indexOf(a), categories.indexOf(b)];
    const other = seen.get(`${row}/${column}`);
    if (other !== undefined)
      throw new Trouble([
        complaint("table-pair-twice", { first: a, second: b, other }, { file, line }),
      ]);
    seen.set(`${row}/${column}`, line);
    const count = counts[i]?.value ?? 0;
    if (count < 0) throw new Trouble([complaint("table-count", { value: count }, { file, line })]);
    (cells[row] as number[])[column] = count;
    if (weights) (weights[row] as number[])[column] = given[i]?.value ?? 0;
  });
  const isWhole =
    !weights || (seen.size === categories.length ** 2 && weights.flat().every((w) => w >= 0));
  if (!isWhole) throw new Trouble([complaint("table-weights", {}, { file })]);
  return { table: { categories, counts: cells }, weights };
}
