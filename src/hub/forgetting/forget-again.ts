import { join } from "node:path";
import { Role } from "../../belt-test/kinds/body-parts.ts";
import { namesIn } from "../../belt-test/scorebook/name-in.ts";
import type { Fault } from "../../book/faults.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import { dropRevoked } from "../door/sheet-links.ts";
import { type EndedToken, openEndedLog } from "../store/ended-log.ts";
import { type ErasedLog, openErasedLog } from "../store/erased-log.ts";
import type { NoteLog } from "../store/note-log.ts";
import type { OpenStore } from "../store/open-store.ts";
import { openRevokedLog, type RevokedLink } from "../store/revoked-log.ts";
import { lastOf, openStandsLog, type Stands } from "../store/stands-log.ts";
import { forgetAtDoor } from "./forget-at-door.ts";

/** What was taken away, as it is noted beside a store. */
export interface TakenAway {
  erased: ErasedLog;
  revoked: NoteLog<RevokedLink>;
  ended: NoteLog<EndedToken>;
  stands: NoteLog<Stands>;
}

/** @param onNote  told of every new note. */
export const openTakenAway = (dataFolder: string, onNote?: () => void): TakenAway => ({
  erased: openErasedLog(dataFolder, onNote),
  revoked: openRevokedLog(dataFolder, onNote),
  ended: openEndedLog(dataFolder, onNote),
  stands: openStandsLog(dataFolder, onNote),
});

/** Notes that are not as they were written, with the file and the line: what they said to take away may come back with an older copy. */
export const damagedNotes = (dataFolder: string, taken: TakenAway): Fault[] =>
  Object.entries(taken).flatMap(([name, { damaged }]: [string, NoteLog<unknown>]) =>
    damaged.map((line) => ({
      code: "NOTE_DAMAGED" as const,
      with: { file: join(dataFolder, `${name}.jsonl`), line },
    })),
  );

/**
 * A store that was put back may be older than an erasing, than a family's link that was taken back, than a device that was shut out, or than a role
 * that was taken away: all of it is done again.
 * @returns how many names and texts went, and how many links.
 */
export async function forgetAgain(
  { store, door }: Pick<OpenStore, "store" | "door">,
  { erased, revoked, ended, stands }: TakenAway,
): Promise<{ records: number; links: number }> {
  let records = 0;
  for (const grading of new Set(erased.all().map((one) => one.grading))) {
    const gone = new Set(erased.of(grading));
    const sides = await store.sides(grading);
    const named = (await door.devices(grading)).filter(({ name }) => name);
    for (const about of gone) {
      const its = sides.filter((side) => side.about === about);
      const isAtDoor = named.some(({ person, device }) => person === about || device === about);
      // Of whom nothing is kept any more nobody knows what they were called.
      if (its.length === 0 && !isAtDoor) continue;
      await forgetAtDoor(door, grading, about, namesIn(its));
      if (its.length > 0) records += await store.erase(grading, about);
    }
  }
  await standAgain(door, lastOf(stands.all()));
  for (const { token } of ended.all()) await door.endToken(token);
  const key = await door.setting("key");
  if (key !== undefined && ended.has(key)) await door.takeSetting("key", key);
  return { records, links: await dropRevoked(door, (link) => revoked.has(link)) };
}

/** Who waits at the door of the copy waits: nobody comes in by a note. */
async function standAgain(door: DoorTables, notes: readonly Stands[]): Promise<void> {
  for (const grading of new Set(notes.map((note) => note.grading))) {
    const rows = new Map((await door.devices(grading)).map((row) => [row.tokenHash, row]));
    for (const { token, person, roles: said } of notes.filter((one) => one.grading === grading)) {
      const row = rows.get(token);
      if (row?.state !== "admitted") continue;
      if (row.person === person && row.roles.join(",") === said) continue;
      const roles = said.split(",").filter(isRole);
      await door.decide(grading, row.device, { state: "admitted", person, roles });
    }
  }
}

const isRole = (role: string): role is Role => Role.safeParse(role).success;
