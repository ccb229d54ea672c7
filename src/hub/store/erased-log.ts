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
/** Whose name at a test's door is forgotten. An id of a device is free text, and may be that of a child: it is noted as a device's. */
export interface ForgottenDevice {
  grading: GradingId;
  device: DeviceId;
  /** ISO 8601, by the hub's clock. */
  at: string;
}

/** Beside the database and outside its backups, so that a backup from before does not bring anybody back. */
export interface ErasedLog {
  /** On the disk when it returns. @returns false for somebody noted before, who is no news. */
  note(grading: GradingId, about: string, nowMs: number): boolean;
  /** Several at once. @returns false where all of them were noted before. */
  noteAll(several: readonly (Erased | ForgottenDevice)[]): boolean;
  /** Devices of one test whose names at the door are forgotten. */
  noteDevices(grading: GradingId, nowMs: number): (devices: readonly DeviceId[]) => void;
  /** Who was erased from a test: people alone. */
  of(grading: GradingId): string[];
  all(): readonly Erased[];
  devices(): readonly ForgottenDevice[];
  /** Lines of the file that are not as they were written. */
  readonly damaged: readonly number[];
}

export function openErasedLog(folder: string, onNote?: OnNote): ErasedLog {
  const log = openNoteLog<Erased | ForgottenDevice>(join(folder, "erased.jsonl"), {
    keyOf: (one) => `${one.grading}/${isOfDevice(one) ? `device ${one.device}` : one.about}`,
    read: ({ grading, about, device, at }) => {
      if (!grading || !at) return undefined;
      const where = { grading: grading as GradingId, at };
      if (about) return { ...where, about };
      return device ? { ...where, device: device as DeviceId } : undefined;
    },
    onNote,
  });
  const people = () => log.all().filter((one): one is Erased => !isOfDevice(one));
  return {
    note: (grading, about, nowMs) =>
      log.note([{ grading, about, at: new Date(nowMs).toISOString() }]),
    noteAll: (several) => log.note(several),
    noteDevices: (grading, nowMs) => (devices) => {
      const at = new Date(nowMs).toISOString();
      log.note(devices.map((device) => ({ grading, device, at })));
    },
    of: (grading) => people().flatMap((one) => (one.grading === grading ? [one.about] : [])),
    all: people,
    devices: () => log.all().filter(isOfDevice),
    damaged: log.damaged,
  };
}

const isOfDevice = (one: Erased | ForgottenDevice): one is ForgottenDevice => "device" in one;
