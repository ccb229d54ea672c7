import { existsSync, statSync } from "node:fs";
import { join } from "node:path";
import * as z from "zod/mini";
import { FaultError } from "../../book/faults.ts";
import { GradingId, PersonId } from "../../book/identity.ts";
import { type NoteLog, type OnNote, openNoteLog } from "./note-log.ts";

/** As whom, and in which roles, the holder of a token is in one test from then on. No name is in it. */
export const Stands = z.object({
  /** The hash of the token. */
  token: z.string().check(z.minLength(1)),
  grading: GradingId,
  person: PersonId,
  /** Parted by commas; empty where none is left. */
  roles: z.string(),
  /** ISO 8601, by the hub's clock; of one token in one test it only grows. */
  at: z.string().check(z.minLength(1)),
});
export type Stands = z.infer<typeof Stands>;

const standsIn = (folder: string): string => join(folder, "stands.jsonl");

/** Beside the database and outside its backups, so that a copy from before makes nobody chief again whom the chief made a judge. */
export const openStandsLog = (folder: string, onNote?: OnNote): NoteLog<Stands> =>
  openNoteLog<Stands>(standsIn(folder), {
    keyOf: ({ token, grading, at }) => `${token}/${grading}/${at}`,
    read: (note) => Stands.safeParse(note).data,
    onNote,
  });

/**
 * A store that is not there is a new one, but where these notes say that a hub has let somebody in here: then it is gone, and whoever made another would begin
 * as if nothing had been.
 * @throws FaultError STORE_GONE
 */
export function mustNotBeGone(file: string, folder: string): void {
  const notes = standsIn(folder);
  const isThere = (path: string) => existsSync(path) && statSync(path).size > 0;
  if (!isThere(file) && isThere(notes))
    throw new FaultError({ code: "STORE_GONE", with: { file, notes } });
}

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
