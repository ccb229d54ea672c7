import { createHash } from "node:crypto";
import {
  closeSync,
  existsSync,
  fstatSync,
  fsyncSync,
  ftruncateSync,
  mkdirSync,
  openSync,
  readFileSync,
  readSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { dirname } from "node:path";
import { FaultError } from "../../book/faults.ts";

/** Told of every new note, after it is on the disk. */
export type OnNote = () => void;

/** Notes in a file beside the database and outside its backups, so that a backup from before does not bring back what was taken away since. */
export interface NoteLog<Note> {
  /** On the disk when it returns, all at once. @returns false where all of it was noted before, which is no news. */
  note(notes: readonly Note[]): boolean;
  has(key: string): boolean;
  /** @returns what another process has noted in the file since the last look. @throws FaultError where it cannot be read; the next look reads it again. */
  look(): readonly Note[];
  all(): readonly Note[];
  /** Lines, counted from 1, that are not as they were written when the file was opened. What they said is not believed, and may be lost. */
  readonly damaged: readonly number[];
}

/**
 * @param settings  `keyOf` says what a note is of; `read` makes a note of a line, or undefined where there is none in it.
 */
export function openNoteLog<Note extends object>(
  file: string,
  settings: {
    keyOf: (note: Note) => string;
    read: (line: Partial<Record<string, string>>) => Note | undefined;
    onNote?: OnNote | undefined;
  },
): NoteLog<Note> {
  const { keyOf, read, onNote } = settings;
  const { notes: found, damaged } = withNoteFaults(file, () => linesOf(file, read));
  const known = new Map(found.map((one) => [keyOf(one), one]));
  let bytes = bytesOf(file);
  return {
    look() {
      if (bytesOf(file) === bytes) return [];
      const { notes } = withNoteFaults(file, () => linesOf(file, read));
      const news = notes.filter((one) => !known.has(keyOf(one)));
      bytes = bytesOf(file);
      for (const one of news) known.set(keyOf(one), one);
      return news;
    },
    note(notes) {
      const news = notes.filter((one) => !known.has(keyOf(one)));
      if (news.length === 0) return false;
      withNoteFaults(file, () => {
        // Beside a database elsewhere, the folder may be a new one.
        mkdirSync(dirname(file), { recursive: true, mode: 0o700 });
        appendWhole(file, news.map(lineOf).join(""));
      });
      for (const one of news) known.set(keyOf(one), one);
      onNote?.();
      return true;
    },
    has: (key) => known.has(key),
    all: () => [...known.values()],
    damaged,
  };
}

/** A note with the sum of what it says, by which a changed one is known. */
const lineOf = (note: object): string =>
  `${JSON.stringify({ ...note, sum: sumOf(JSON.stringify(note)) })}\n`;
const sumOf = (text: string): string =>
  createHash("sha256").update(text).digest("hex").slice(0, 16);
/** The end of a line that was written whole, also where a letter of it is another now. */
const wasWhole = /"sum":".{16}|\}$/;

/** All of it, on the disk, or nothing; and on a line of its own, also after one that a power cut or a full disk tore. */
function appendWhole(file: string, lines: string): void {
  const log = openSync(file, "a+", 0o600);
  try {
    const before = fstatSync(log).size;
    try {
      writeFileSync(log, endsALine(log, before) ? lines : `\n${lines}`);
      fsyncSync(log);
    } catch (error) {
      ftruncateSync(log, before);
      throw error;
    }
  } finally {
    closeSync(log);
  }
}
function endsALine(log: number, size: number): boolean {
  const last = Buffer.alloc(1);
  return size === 0 || (readSync(log, last, 0, 1, size - 1) === 1 && last.toString() === "\n");
}

const bytesOf = (file: string): number => (existsSync(file) ? statSync(file).size : 0);

/**
 * A line that a power cut tore is left out: what it said was not confirmed, and is done again. One that was whole and is not what it was is named.
 * Earlier versions wrote no sums.
 */
function linesOf<Note>(
  file: string,
  read: (line: Partial<Record<string, string>>) => Note | undefined,
): { notes: Note[]; damaged: number[] } {
  const notes: Note[] = [];
  const damaged: number[] = [];
  if (!existsSync(file)) return { notes, damaged };
  for (const [at, line] of readFileSync(file, "utf8").split("\n").entries()) {
    const said = textsIn(line);
    const note = said && read(said);
    if (note) notes.push(note);
    else if (wasWhole.test(line)) damaged.push(at + 1);
  }
  return { notes, damaged };
}

/** What a line says; undefined where it is none, or another than was written. */
function textsIn(line: string): Partial<Record<string, string>> | undefined {
  try {
    const { sum, ...said } = JSON.parse(line) as Record<string, string>;
    if (!Object.values(said).every((value) => typeof value === "string")) return undefined;
    return sum === undefined || sum === sumOf(JSON.stringify(said)) ? said : undefined;
  } catch {
    return undefined;
  }
}

/** Notes that cannot be read or written are told in words: nobody goes on as if nothing had been taken away. */
function withNoteFaults<T>(file: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    const { code = "" } = error as { code?: string };
    throw new FaultError(
      { code: code === "ENOSPC" ? "STORE_FULL" : "STORE_LOST", with: { file, detail: code } },
      { cause: error },
    );
  }
}
