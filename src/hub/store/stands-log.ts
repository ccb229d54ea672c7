import { join } from "node:path";
import type { GradingId, PersonId } from "../../book/identity.ts";
import { type NoteLog, type OnNote, openNoteLog } from "./note-log.ts";

/** As whom, and in which roles, the holder of a token is in one test from then on. No name is in it. */
export interface Stands {
  /** The hash of the token. */
  token: string;
  grading: GradingId;
  person: PersonId;
  /** Parted by commas; empty where none is left. */
  roles: string;
  /** ISO 8601, by the hub's clock; of one token in one test it only grows. */
  at: string;
}

/** Beside the database and outside its backups, so that a copy from before makes nobody chief again whom the chief made a judge. */
export const openStandsLog = (folder: string, onNote?: OnNote): NoteLog<Stands> =>
  openNoteLog<Stands>(join(folder, "stands.jsonl"), {
    keyOf: ({ token, grading, at }) => `${token}/${grading}/${at}`,
    read: ({ token, grading, person, roles, at }) =>
      token && grading && person && roles !== undefined && at
        ? { token, grading: grading as GradingId, person: person as PersonId, roles, at }
        : undefined,
    onNote,
  });

/** What stands of each token in each test: the last that was said. */
export function lastOf(notes: readonly Stands[]): Stands[] {
  const last = new Map<string, Stands>();
  for (const note of notes) {
    const place = `${note.token}/${note.grading}`;
    const before = last.get(place);
    if (!before || before.at < note.at) last.set(place, note);
  }
  return [...last.values()];
}
