import type { StoredBooks } from "./stored-books.ts";

/** Of all books the entries that a list of them is made of. */
export const isTitleLine = ({ titleKinds }: StoredBooks): string =>
  titleKinds.map((kind) => `instr(body, '"kind":"${kind}"')`).join(" OR ");

/** Of all books who was erased: what a hub was kept from doing is done by the next, also in a test that nobody opens. */
export const isErasedLine = `instr(body, '"kind":"erased"')`;

/** Entries are written once. Only `sides` may be erased; the chain does not cover them. */
export const scorebookTables = (books: StoredBooks): string => `
  CREATE TABLE IF NOT EXISTS entries (
    grading TEXT NOT NULL,
    seq INTEGER NOT NULL,
    id TEXT NOT NULL,
    device TEXT NOT NULL,
    n INTEGER NOT NULL,
    body TEXT NOT NULL,
    salt TEXT NOT NULL,
    digest TEXT NOT NULL,
    chain TEXT NOT NULL,
    PRIMARY KEY (grading, seq),
    UNIQUE (grading, id),
    UNIQUE (grading, device, n)
  ) WITHOUT ROWID;
  CREATE TRIGGER IF NOT EXISTS entries_are_never_changed BEFORE UPDATE ON entries
    BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
  CREATE TRIGGER IF NOT EXISTS entries_are_never_removed BEFORE DELETE ON entries
    BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
  CREATE INDEX IF NOT EXISTS title_lines ON entries (grading, seq) WHERE ${isTitleLine(books)};
  CREATE INDEX IF NOT EXISTS erased_lines ON entries (grading, seq) WHERE ${isErasedLine};
  CREATE TABLE IF NOT EXISTS sides (
    grading TEXT NOT NULL,
    id TEXT NOT NULL,
    record TEXT NOT NULL,
    PRIMARY KEY (grading, id)
  ) WITHOUT ROWID;
`;

/** Who may come in, and what a hub keeps of itself. */
export const doorTables = `
  CREATE TABLE IF NOT EXISTS settings (name TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
  CREATE TABLE IF NOT EXISTS chiefs (
    token_hash TEXT PRIMARY KEY, device TEXT NOT NULL, person TEXT NOT NULL, since_ms INTEGER NOT NULL
  ) WITHOUT ROWID;
  CREATE TABLE IF NOT EXISTS gradings (
    grading TEXT PRIMARY KEY, code TEXT NOT NULL UNIQUE, made_by TEXT NOT NULL, made_at_ms INTEGER NOT NULL
  ) WITHOUT ROWID;
  CREATE TABLE IF NOT EXISTS devices (
    grading TEXT NOT NULL, device TEXT NOT NULL, name TEXT NOT NULL, wants TEXT NOT NULL, state TEXT NOT NULL,
    person TEXT, roles TEXT NOT NULL, token_hash TEXT NOT NULL, address TEXT NOT NULL, since_ms INTEGER NOT NULL,
    PRIMARY KEY (grading, device)
  ) WITHOUT ROWID;
  CREATE INDEX IF NOT EXISTS devices_by_token ON devices (token_hash);
`;
