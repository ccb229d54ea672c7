/**
 * Columns of text, to be read as bytes: over a single byte that is no UTF-8, as a bit turned over on the disk makes it, the library that
 * reads the database ends the whole process.
 *
 * @example
 * asBytes(["id"]); // => "CAST(id AS BLOB) AS id"
 */
export const asBytes = (columns: readonly string[]): string =>
  columns.map((column) => `CAST(${column} AS BLOB) AS ${column}`).join(", ");

/** A row of which some columns were read as bytes, as text; a byte that is no UTF-8 becomes a letter that no digest fits. */
export function asText<Row extends object>(row: unknown): Row {
  const text: Record<string, unknown> = {};
  for (const [column, value] of Object.entries(row as object)) text[column] = decoded(value);
  return text as Row;
}

/** One row comes with a Buffer in it, several with an ArrayBuffer. */
function decoded(value: unknown): unknown {
  if (Buffer.isBuffer(value)) return value.toString("utf8");
  return value instanceof ArrayBuffer ? Buffer.from(value).toString("utf8") : value;
}
