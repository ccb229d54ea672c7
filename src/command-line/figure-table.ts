import { fitted, wrapped } from "./text-width.ts";

/** A number for reading: four digits after the point, fewer when it is large; a dash where there is none. */
export function figure(value: number | null | undefined, digits = 3): string {
  if (value === null || value === undefined) return "–";
  if (value !== 0 && Math.abs(value) < 10 ** -digits / 2)
    return value < 0 ? `-<.${"0".repeat(digits - 1)}1` : `<.${"0".repeat(digits - 1)}1`;
  return Math.abs(value) >= 1e7 ? value.toExponential(3) : value.toFixed(digits);
}

/** Heading, one plain sentence, then rows of a name and figures, in columns that fit. */
export function figureTable(
  heading: string,
  plain: string,
  columns: string,
  rows: readonly (readonly string[])[],
  width: number,
): string[] {
  const names = columns.split("|");
  const room = Math.min(width, 80);
  const each = names.map((name, i) =>
    Math.max(name.length, ...rows.map((row) => (row[i + 1] ?? "").length), 6),
  );
  const left = Math.max(
    8,
    Math.min(
      room - each.reduce((sum, wide) => sum + wide + 2, 0),
      Math.max(...rows.map((row) => (row[0] ?? "").length), 8),
    ),
  );
  const line = (cells: readonly string[]) =>
    [
      fitted(cells[0] ?? "", left),
      ...each.map((wide, i) => fitted(cells[i + 1] ?? "", wide, "right")),
    ]
      .join("  ")
      .trimEnd();
  return ["", heading, ...wrapped(plain, room, ""), "", line(["", ...names]), ...rows.map(line)];
}
