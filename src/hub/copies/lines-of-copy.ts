import { statSync } from "node:fs";
import type { GradingId } from "../../book/identity.ts";
import { type HubDatabase, openToRead } from "../store/open-database.ts";
import { asBytes, asText } from "../store/sqlite-text.ts";
import { unlessDamaged } from "./damaged-copy.ts";

/** The last line of a test in a copy. */
export interface End {
  grading: GradingId;
  seq: number;
  chain: string;
}
/** Of each test; nothing of a copy that is damaged. @throws FaultError where it is not read to the end */
export const endsIn = (copy: string): End[] =>
  rowsIn<End>(
    copy,
    `SELECT ${asBytes(["grading", "chain"])}, max(seq) AS seq FROM entries GROUP BY entries.grading`,
  );
/** What the lines of a test are called in a copy; nothing of one that is damaged. @throws FaultError where it is not read to the end */
export const idsIn = (copy: string, grading: GradingId): string[] =>
  rowsIn<{ id: string }>(
    copy,
    `SELECT ${asBytes(["id"])} FROM entries WHERE entries.grading = ?`,
    grading,
  ).map(({ id }) => id);

const rowsIn = <Row extends object>(copy: string, sql: string, ...given: string[]): Row[] =>
  unlessDamaged(copy, () => {
    let database: HubDatabase | undefined;
    try {
      // The library would begin one where there is none.
      statSync(copy);
      database = openToRead(copy);
      return database
        .prepare(sql)
        .all(...given)
        .map((row) => asText<Row>(row));
    } finally {
      database?.close();
    }
  }) ?? [];
