import {
  closeSync,
  lstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  readSync,
  renameSync,
  statfsSync,
  statSync,
  unlinkSync,
} from "node:fs";
import { join } from "node:path";
import { endsIn, idsIn } from "./lines-of-copy.ts";
import { soundEntries } from "./sound-copy.ts";
import { whoseCopy } from "./whose-copy.ts";

/** What lies in a folder of copies. */
export interface Seen {
  /** The disk that it is on, as the system numbers it; undefined where there is no such folder. */
  disk: number | undefined;
  /** Files alone: a folder, a pipe or a link is no copy, whatever it is called. */
  files: readonly { file: string; bytes: number; writtenAtMs: number }[];
}

/** All that a hub does on the disk of its copies, each as long as that disk takes: a hub at work has it done by a process of its own, see `diskBeside`. */
const diskWork = {
  look: (folder: string): Seen => ({
    disk: statSync(folder, { throwIfNoEntry: false })?.dev,
    files: namesIn(folder).flatMap((file) => {
      const found = foundAt(join(folder, file));
      return found?.isFile() ? { file, bytes: found.size, writtenAtMs: found.mtimeMs } : [];
    }),
  }),
  freeBytes(folder: string): number {
    const { bavail, bsize } = statfsSync(folder);
    return bavail * bsize;
  },
  make: (folder: string): void => void mkdirSync(folder, { recursive: true, mode: 0o700 }),
  rename: (from: string, to: string): void => renameSync(from, to),
  remove: (file: string): void => unlinkSync(file),
  /** At most so many bytes of a file from there on; none at its end. */
  read(file: string, from: number, most: number): Uint8Array {
    const opened = openSync(file, "r");
    try {
      const part = Buffer.alloc(most);
      return part.subarray(0, readSync(opened, part, 0, most, from));
    } finally {
      closeSync(opened);
    }
  },
  whose: whoseCopy,
  ends: endsIn,
  ids: idsIn,
  soundEntries,
};
type Work = typeof diskWork;
export type DiskWorkName = keyof Work;
/** The disk of a hub's copies, asked without waiting for it. */
export type CopiesDisk = {
  [Name in DiskWorkName]: (
    ...said: Parameters<Work[Name]>
  ) => Promise<Awaited<ReturnType<Work[Name]>>>;
};

/** @param does  has one piece of work done */
export const diskBy = (does: (name: DiskWorkName, said: unknown[]) => unknown): CopiesDisk =>
  Object.fromEntries(
    Object.keys(diskWork).map((name) => [
      name,
      async (...said: unknown[]) => does(name as DiskWorkName, said),
    ]),
  ) as CopiesDisk;

export const doDiskWork = (name: DiskWorkName, said: unknown[]): unknown =>
  (diskWork[name] as (...all: unknown[]) => unknown)(...said);
/** For whoever may wait for it, as a command. */
export const diskHere: CopiesDisk = diskBy(doDiskWork);

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}
/** Undefined for what is gone by now, or a damaged disk does not give. */
function foundAt(path: string) {
  try {
    return lstatSync(path);
  } catch {
    return undefined;
  }
}
