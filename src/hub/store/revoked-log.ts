import { join } from "node:path";
import { type NoteLog, type OnNote, openNoteLog } from "./note-log.ts";

/** A family's link that was taken back, by the hash of its token: it opens nothing, and nobody can tell whose it was. */
export interface RevokedLink {
  link: string;
  /** ISO 8601, by the hub's clock. */
  at: string;
}

/** Beside the database and outside its backups, so that a backup from before opens no link again. */
export const openRevokedLog = (folder: string, onNote?: OnNote): NoteLog<RevokedLink> =>
  openNoteLog<RevokedLink>(join(folder, "revoked.jsonl"), {
    keyOf: ({ link }) => link,
    read: ({ link, at }) => (link && at ? { link, at } : undefined),
    onNote,
  });
