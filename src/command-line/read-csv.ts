import Papa from "papaparse";
import { csvHeader } from "../belt-test/planning/csv-header.ts";
import { readText } from "./read-file.ts";
import { Trouble } from "./trouble.ts";

/** One line of a CSV file by the names of its columns; cells are trimmed. */
export interface Row<Column extends string> {
  line: number;
  cells: Record<Column, string>;
}

/**
 * The rows of a CSV file with a header.
 * Separator comma, semicolon or tab, whichever the header uses. Lines that are empty throughout are passed over, and still counted.
 * @throws Trouble for a missing column, one named twice, a column that is not known, or a broken quotation.
 */
export function readCsv<Needed extends string, Optional extends string>(
  file: string,
  needed: readonly Needed[],
  optional: readonly Optional[],
): Row<Needed | Optional>[] {
  const text = readText(file);
  if (/^\s*[{[]/.test(text)) throw new Trouble([{ say: "csv-is-json", file }]);
  const { data, errors } = Papa.parse<string[]>(text, { delimitersToGuess: [",", ";", "\t"] });
  const starts = lineStarts(data, text);
  const broken = errors.find(({ type }) => type === "Quotes");
  if (broken) throw new Trouble([{ say: "csv-quotes", file, line: starts[broken.row ?? 0] ?? 1 }]);

  const header = data[0] ?? [];
  const known = [...needed, ...optional];
  if (header.every((name) => name.trim() === ""))
    throw new Trouble([
      {
        say: "csv-empty",
        file,
        line: 1,
        with: { columns: (needed.length > 0 ? needed : optional).join(",") },
      },
    ]);
  const { places, problems } = csvHeader<Needed | Optional>(header, { needed, optional });
  if (problems.length > 0)
    throw new Trouble(
      problems.map(({ is, column }) => ({
        say: `csv-column-${is}` as const,
        file,
        line: 1,
        with: { name: shown(column), columns: known.join(", ") },
      })),
    );

  const rows = data.slice(1).flatMap((cells, index): Row<Needed | Optional>[] => {
    if (cells.every((cell) => cell.trim() === "")) return [];
    const line = starts[index + 1] ?? index + 2;
    if (cells.slice(header.length).some((cell) => cell.trim() !== ""))
      throw new Trouble([{ say: "csv-cells-too-many", file, line }]);
    const named = Object.fromEntries(
      known.map((name) => [name, (cells[places.get(name) ?? -1] ?? "").trim()]),
    ) as Record<Needed | Optional, string>;
    return [{ line, cells: named }];
  });
  if (rows.length === 0) throw new Trouble([{ say: "csv-no-rows", file, line: 2 }]);
  return rows;
}

/** At which line each row begins: a quoted cell may hold line breaks. */
function lineStarts(data: readonly string[][], text: string): number[] {
  if (!text.includes('"')) return data.map((_, row) => row + 1);
  let line = 1;
  return data.map((cells) => {
    const begins = line;
    line += 1 + cells.reduce((sum, cell) => sum + (cell.match(/\r\n|\n|\r/g)?.length ?? 0), 0);
    return begins;
  });
}

/** A cell as an error shows it: never so long that it fills the screen, never with control characters. */
export const shown = (cell: string): string => {
  const plain = cell.replace(/\p{C}/gu, "�");
  return plain.length > 40 ? `${plain.slice(0, 39)}…` : plain;
};
