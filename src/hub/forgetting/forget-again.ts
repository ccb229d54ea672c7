import { join } from "node:path";
import { Role } from "../../belt-test/kinds/body-parts.ts";
import { isKnown } from "../../belt-test/scorebook/entry.ts";
import { namesIn } from "../../belt-test/scorebook/name-in.ts";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { stoodName } from "../door/beside-door.ts";
import { dropRevoked } from "../door/sheet-links.ts";
import { type EndedToken, openEndedLog } from "../store/ended-log.ts";
import { type ErasedLog, type ForgottenDevice, openErasedLog } from "../store/erased-log.ts";
import type { NoteLog } from "../store/note-log.ts";
import { openRevokedLog, type RevokedLink } from "../store/revoked-log.ts";
import { lastOf, openStandsLog, type Stands } from "../store/stands-log.ts";
import type { OpenStore } from "../store/store-home.ts";
import { sayErased } from "./erase.ts";
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
  Object.entries(taken).flatMap(([name, { damaged }]: [string, { damaged: readonly number[] }]) =>
    damaged.map((line) => ({
      code: "NOTE_DAMAGED" as const,
      with: { file: join(dataFolder, `${name}.jsonl`), line },
    })),
  );

/**
 * A store that was put back may be older than an erasing, than a family's link that was taken back, than a device that was shut out, or than a role
 * that was taken away: all of it is done again, and a book that does not say of somebody that they were erased says it from now on, or no tablet would hear of
 * it. So is what its own books say was erased, where the hub ended before it could be done.
 * @returns how many names and texts went, how many links, and why somebody has to stay for now, and who.
 */
export async function forgetAgain(
  { store, door }: Pick<OpenStore, "store" | "door">,
  { erased, revoked, ended, stands }: TakenAway,
): Promise<{
  records: number;
  links: number;
  waits: Fault[];
  waiting: { grading: GradingId; about: string }[];
}> {
  let records = 0;
  const waits: Fault[] = [];
  const waiting: { grading: GradingId; about: string }[] = [];
  const nowMs = Date.now();
  const said = await saidErased(store);
  await sayAgain(store, erased, said, nowMs);
  for (const [grading, gone] of goneOf(said, erased)) {
    const sides = await store.sides(grading);
    const named = (await door.devices(grading)).filter(({ name }) => name);
    for (const about of gone) {
      const its = sides.filter((side) => side.about === about);
      const isAtDoor = named.some(({ person }) => person === about);
      // Of whom nothing is kept any more nobody knows what they were called.
      if (its.length === 0 && !isAtDoor) continue;
      try {
        erased.note(grading, about as string, nowMs);
        const note = erased.noteDevices(grading, nowMs);
        await forgetAtDoor(door, grading, about, namesIn(its), note);
        if (its.length > 0) records += await store.erase(grading, about);
      } catch (error) {
        if (!(error instanceof FaultError)) throw error;
        const { code, with: { file = "", detail = code } = {} } = error.fault;
        waits.push({ code: "ERASED_WAITS", with: { detail: `${file} ${detail}`.trim() } });
        waiting.push({ grading, about });
      }
    }
  }
  await forgetDevicesAgain(door, erased.devices());
  await standAgain(door, lastOf(stands.all()));
  for (const { token } of ended.all()) await door.endToken(token);
  const key = await door.setting("key");
  if (key !== undefined && ended.has(key)) await door.takeSetting("key", key);
  return { records, links: await dropRevoked(door, (link) => revoked.has(link)), waits, waiting };
}

async function forgetDevicesAgain(
  door: DoorTables,
  noted: readonly ForgottenDevice[],
): Promise<void> {
  for (const grading of new Set(noted.map((one) => one.grading))) {
    const theirs = new Set(noted.flatMap((one) => (one.grading === grading ? one.device : [])));
    const named = (await door.devices(grading)).filter(
      ({ name, device }) => name && theirs.has(device),
    );
    const devices = named.map(({ device }) => device);
    if (devices.length > 0) await door.forgetDevices(grading, devices);
  }
}

type ByTest = ReadonlyMap<GradingId, ReadonlySet<string>>;
/** Whom the books of a store say to be erased, test by test. */
async function saidErased(store: Pick<ScorebookStore, "erasedLines">): Promise<ByTest> {
  const said = new Map<GradingId, Set<string>>();
  for (const entry of (await store.erasedLines?.()) ?? [])
    if (isKnown(entry) && entry.kind === "erased")
      said.set(entry.grading, (said.get(entry.grading) ?? new Set()).add(entry.body.about));
  return said;
}

/** Whom notes beside the store, or the books in it, say to be erased. */
const goneOf = (said: ByTest, erased: ErasedLog): ByTest =>
  new Map(
    [...said.keys(), ...erased.all().map(({ grading }) => grading)].map((grading) => [
      grading,
      new Set([...erased.of(grading), ...(said.get(grading) ?? [])]),
    ]),
  );

/** Where a book takes no line, as a damaged one or on a full disk, the next start tries again: the names go all the same. */
async function sayAgain(
  store: Pick<ScorebookStore, "gradings" | "read" | "append">,
  erased: ErasedLog,
  said: ByTest,
  nowMs: number,
): Promise<void> {
  for (const { grading } of await store.gradings()) {
    const abouts = erased.of(grading).filter((about) => !said.get(grading)?.has(about));
    if (abouts.length === 0) continue;
    try {
      await sayErased(store, { grading, abouts, nowMs });
    } catch (error) {
      if (!(error instanceof FaultError)) throw error;
    }
  }
}

/**
 * What a copy from before does not know. Who waits at its door waits: nobody comes in by a note. A note that is older than what the store knows itself says
 * nothing: the one after it may be damaged, or lost.
 */
async function standAgain(door: DoorTables, notes: readonly Stands[]): Promise<void> {
  for (const grading of new Set(notes.map((note) => note.grading))) {
    const rows = new Map((await door.devices(grading)).map((row) => [row.tokenHash, row]));
    for (const { token, person, roles: said, at } of notes.filter(
      (one) => one.grading === grading,
    )) {
      const row = rows.get(token);
      if (row?.state !== "admitted") continue;
      const stood = await door.setting(stoodName(row));
      if (stood !== undefined && stood >= at) continue;
      if (row.person !== person || row.roles.join(",") !== said) {
        const roles = said.split(",").filter(isRole);
        await door.decide(grading, row.device, { state: "admitted", person, roles });
      }
      // Only now: what is cut short before is done again.
      await door.keepSetting(stoodName(row), at);
    }
  }
}

const isRole = (role: string): role is Role => Role.safeParse(role).success;
