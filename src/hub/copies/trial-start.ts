import { mkdirSync, rmSync } from "node:fs";
import { FrontDesk } from "../door/front-desk.ts";
import { restore } from "../store/backup.ts";
import { openForCommand } from "../store/open-store.ts";
import { storeFile } from "../store/store-file.ts";
import { testBooks } from "../test-room/test-books.ts";

/**
 * Begins from a copy in a folder of its own, as a hub would, and ends again: what the hub would stumble over is known before anything is put away for it.
 * @param folder  where there is room for it; nothing is left there
 * @throws FaultError COPY_UNSOUND, KEY_DAMAGED, and what opening a store throws
 */
export async function trialStart(copy: string, folder: string): Promise<void> {
  const trial = trialFolder(folder);
  dropTrial(folder);
  try {
    mkdirSync(trial, { mode: 0o700 });
    await restore(copy, storeFile(trial), testBooks);
    const opened = await openForCommand({ dataFolder: trial }, testBooks, { alone: true });
    try {
      if (opened) await FrontDesk.open(opened.door, Date.now);
    } finally {
      await opened?.close();
    }
  } finally {
    dropTrial(folder);
  }
}

/** A name that nobody gives a folder of their own. */
const trialFolder = (folder: string): string => `${storeFile(folder)}.trial`;

/** What a killed trial left: names are in it. */
export const dropTrial = (folder: string): void =>
  rmSync(trialFolder(folder), { recursive: true, force: true });
