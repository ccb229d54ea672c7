import { join } from "node:path";
import type { DeviceId, GradingId } from "../../book/identity.ts";
import { type OnNote, openNoteLog } from "./note-log.ts";

/** Who was erased from which grading. No name is in it: an id that means nothing any more. */
export interface Erased {
  grading: GradingId;
  about: string;
  /** ISO 8601, by the hub's clock. */
  at: string;
}

/** Beside the database and outside its backups, so that a backup from before does not bring anybody back. */
export interface ErasedLog {
  /** On the disk when it returns. @returns false for somebody noted before, who is no news. */
  note(grading: GradingId, about: string, nowMs: number): boolean;
  /** Several at once. @returns false where all of them were noted before. */
  noteAll(several: readonly Erased[]): boolean;
  /** Devices of one test whose names at the door are forgotten. */
  noteDevices(grading: GradingId, nowMs: number): (devices: readonly DeviceId[]) => void;
  of(grading: GradingId): string[];
  all(): readonly Erased[];
  /** Lines of the file that are not as they were written. */
  readonly damaged: readonly number[];
}

export function openErasedLog(folder: string, onNote?: OnNote): ErasedLog {
  const log = openNoteLog<Erased>(join(folder, "erased.jsonl"), {
    keyOf: ({ grading, about }) => `${grading}/${about}`,
    read: ({ grading, about, at }) =>
      grading && about && at ? { grading: grading as GradingId, about, at } : undefined,
    onNote,
  });
  return {
    note: (grading, about, nowMs) =>
      log.note([{ grading, about, at: new Date(nowMs).toISOString() }]),
    noteAll: (several) => log.note(several),
    noteDevices: (grading, nowMs) => (devices) => {
      const at = new Date(nowMs).toISOString();
      log.note(devices.map((about) => ({ grading, about, at })));
    },
    of: (grading) => log.all().flatMap((one) => (one.grading === grading ? [one.about] : [])),
    all: log.all,
    damaged: log.damaged,
  };
}
