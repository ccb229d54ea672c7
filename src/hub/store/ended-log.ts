import { join } from "node:path";
import { type NoteLog, type OnNote, openNoteLog } from "./note-log.ts";

/** What opens nothing any more, a shut-out device's token or a key that was used or replaced, by its hash: nobody can tell whose it was. */
export interface EndedToken {
  token: string;
  /** ISO 8601, by the hub's clock. */
  at: string;
}

/** Beside the database and outside its backups, so that a copy from before lets no lost tablet in again. */
export const openEndedLog = (folder: string, onNote?: OnNote): NoteLog<EndedToken> =>
  openNoteLog<EndedToken>(join(folder, "ended.jsonl"), {
    keyOf: ({ token }) => token,
    read: ({ token, at }) => (token && at ? { token, at } : undefined),
    onNote,
  });
