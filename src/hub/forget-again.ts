import { dropRevoked } from "./sheet-links.ts";
import { type EndedToken, openEndedLog } from "./storage/ended-log.ts";
import { type ErasedLog, openErasedLog } from "./storage/erased-log.ts";
import type { NoteLog } from "./storage/note-log.ts";
import type { OpenStore } from "./storage/open-store.ts";
import { openRevokedLog, type RevokedLink } from "./storage/revoked-log.ts";

/** What was taken away, as it is noted beside a store. */
export interface TakenAway {
  erased: ErasedLog;
  revoked: NoteLog<RevokedLink>;
  ended: NoteLog<EndedToken>;
}

/** @param onNote  told of every new note. */
export const openTakenAway = (dataFolder: string, onNote?: () => void): TakenAway => ({
  erased: openErasedLog(dataFolder, onNote),
  revoked: openRevokedLog(dataFolder, onNote),
  ended: openEndedLog(dataFolder, onNote),
});

/**
 * A store that was put back may be older than an erasing, than a family's link that was taken back, or than a device that was shut out: all of it is done again.
 * @returns how many names and texts went, and how many links.
 */
export async function forgetAgain(
  { store, door }: Pick<OpenStore, "store" | "door">,
  { erased, revoked, ended }: TakenAway,
): Promise<{ records: number; links: number }> {
  let records = 0;
  for (const grading of new Set(erased.all().map((one) => one.grading))) {
    const gone = new Set(erased.of(grading));
    const sides = await store.sides(grading);
    for (const about of new Set(sides.map((side) => side.about as string)))
      if (gone.has(about)) records += await store.erase(grading, about);
    for (const { name, person, device } of await door.devices(grading)) {
      if (!name || !gone.has(person ?? device)) continue;
      if (person) await door.forgetNames(grading, person);
      else await door.forgetDevice(grading, device);
    }
  }
  for (const { token } of ended.all()) await door.endToken(token);
  return { records, links: await dropRevoked(door, (link) => revoked.has(link)) };
}
