import type { Fault } from "../../book/faults.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { StoreNews } from "../../ports/store-news.ts";
import type { StoreRows } from "../../ports/store-rows.ts";
import type { LeftOpen } from "./open-mark.ts";
import type { Swept } from "./swept.ts";

/** Everything a hub keeps. */
export interface OpenStore {
  /** For people, who see it in `/health`: nothing is decided by it. */
  name: string;
  /** Other hubs may be at work on it too: what is noted beside one is noted beside all. */
  isShared: boolean;
  /** The folder, or the database without user and password: may be shown to anybody. */
  place: string;
  store: ScorebookStore;
  door: DoorTables;
  /** All of it as it is at this moment. */
  rows(): Promise<StoreRows>;
  /** Takes the bytes of what was erased off the disk, where that is not done yet. */
  sweep(): Promise<Swept>;
  close(): Promise<void>;
}
/** With word from the hubs that it is shared with. */
export interface HubStore extends OpenStore {
  news: StoreNews;
  /** How the last run here ended, where it was not told to end. */
  leftOpen: LeftOpen | undefined;
  /** Looks whether the file still is at its place. */
  look(): void;
  /** @throws FaultError STORE_MOVED where another file lies there, or none: nobody reads what this store holds there any more. */
  mustBeThere(): void;
  /** Resolves when the store can never be used again by this process. */
  failed: Promise<FailedStore>;
}
export interface FailedStore {
  fault: Fault;
  /** Where all it held is saved, as a backup is; undefined where that could not be done. */
  saved: string | undefined;
}
export interface OpenSettings {
  sweepEveryMs?: number;
  /** Told of bytes of what was erased that have to stay for now. */
  onWaiting?: ((fault: Fault) => void) | undefined;
}

/**
 * Where a hub keeps its tests, and all that differs by what lies there: a way to store is one of these, and passes the contracts.
 * What a hub notes beside its store lies in a folder in any case.
 */
export interface StoreHome {
  dataFolder: string;
  /** Several hubs may be at work on it. */
  isShared: boolean;
  /** The place as it may be shown to anybody: never a user, never a password. */
  shown: string;
  /**
   * Opens it for a hub: a folder is then this process's alone.
   * @throws FaultError STORE_IN_USE, STORE_DAMAGED, STORE_LOST, STORE_UNREACHABLE
   */
  forHub(settings?: OpenSettings): Promise<HubStore>;
  /**
   * Opens it for a command. Hubs may be at work with a database meanwhile: they read on.
   * @param how  `alone`: no hub may be at work with the folder, since a hub knows its tests by heart; `makes`: also where there is none yet.
   * @returns undefined where there is none.
   * @throws FaultError as `forHub`
   */
  forCommand(how: { alone?: boolean; makes?: boolean }): Promise<OpenStore | undefined>;
  /** Keeps a hub from beginning here until the returned function is called. @throws FaultError STORE_IN_USE */
  hold(): () => void;
  /** Whether something lies here that `takeCopy` would have to put aside. Where nothing can be put aside `takeCopy` says what is there. */
  isTaken(): boolean;
  /** Everything that is here, as one file. @returns false where there is no store. */
  copyTo(file: string): Promise<boolean>;
  /**
   * Puts a copy here, whole or not at all.
   * @returns `aside`: the name that was given to a store that was here; null where there was none. `taken`: nothing was done, here is something already.
   */
  takeCopy(copy: string): Promise<{ aside: string | null } | "taken">;
  /** As options of a command, which everybody on the machine can read; and what only its environment says. */
  options: readonly string[];
  env: Readonly<Record<string, string>>;
  /** Options of the command that puts a copy in the place of this store. */
  optionsToPutBack(short: (path: string) => string): readonly string[];
}
