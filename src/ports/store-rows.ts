import type { GradingId } from "../book/identity.ts";

/** What a hub keeps, table by table: the key, in whose order rows are read, and the other columns; the same in every database. */
export const storeTables = {
  entries: {
    key: ["grading", "seq"],
    more: ["id", "device", "n", "body", "salt", "digest", "chain"],
  },
  sides: { key: ["grading", "id"], more: ["record"] },
  settings: { key: ["name"], more: ["value"] },
  chiefs: { key: ["token_hash"], more: ["device", "person", "since_ms"] },
  gradings: { key: ["grading"], more: ["code", "made_by", "made_at_ms"] },
  devices: {
    key: ["grading", "device"],
    more: ["name", "wants", "state", "person", "roles", "token_hash", "address", "since_ms"],
  },
} as const;
export type StoreTable = keyof typeof storeTables;
export const tableNames = Object.keys(storeTables) as StoreTable[];
export const columnsOf = (table: StoreTable): string[] => [
  ...storeTables[table].key,
  ...storeTables[table].more,
];

export type StoreRow = Readonly<Record<string, string | number | null>>;

/** Everything a store holds as it was at one moment, as it lies there: to be checked and copied. Others may write meanwhile. */
export interface StoreRows {
  /** The rows of one table in the order of its key, so many at a time that memory stays small; with `grading`, of that one. */
  of(table: StoreTable, grading?: GradingId): AsyncIterable<readonly StoreRow[]>;
  close(): Promise<void>;
}
