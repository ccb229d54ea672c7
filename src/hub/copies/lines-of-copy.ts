import type { GradingId } from "../../book/identity.ts";
import { type HubDatabase, openToRead } from "../store/open-database.ts";
import { asBytes, asText } from "../store/sqlite-text.ts";

/** The last line of a test in a copy. */
export interface End {
  grading: GradingId;
  seq: number;
  chain: string;
}
/** Of each test; nothing of a copy that cannot be read. */
export const endsIn = (copy: string): End[] =>
  rowsIn<End>(
    copy,
    `SELECT ${asBytes(["grading", "chain"])}, max(seq) AS seq FROM entries GROUP BY entries.grading`,
  );
/** What the lines of a test are called in a copy. */
export const idsIn = (copy: string, grading: GradingId): string[] =>
  rowsIn<{ id: string }>(
    copy,
    `SELECT ${asBytes(["id"])} FROM entries WHERE entries.grading = ?`,
    grading,
  ).map(({ id }) => id);

function rowsIn<Row extends object>(copy: string, sql: string, ...given: string[]): Row[] {
  let database: HubDatabase | undefined;
  try {
    database = openToRead(copy);
    return database
      .prepare(sql)
      .all(...given)
      .map((row) => asText<Row>(row));
  } catch {
    return [];
  } finally {
    database?.close();
  }
}
