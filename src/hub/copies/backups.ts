import { mkdirSync, readdirSync, renameSync, rmSync, statfsSync, statSync } from "node:fs";
import { basename, join } from "node:path";
import { type Fault, FaultError } from "../../book/faults.ts";
import { type Clock, platformClock } from "../../ports/clock.ts";
import type { Ahead } from "./copy-ahead.ts";

/** One backup that lies in the folder. */
export interface BackupFile {
  file: string;
  /** Wall clock, milliseconds since 1970, when it was begun. */
  atMs: number;
  bytes: number;
}
/** Writes a whole backup into a new file, on the disk when it resolves; says where a test in it is damaged, as it is in the store. */
export type CopyOfStore = (file: string) => Promise<void | "damaged">;
/** How the copies of this hub stand, for its chief. */
export interface BackupState {
  folder: string;
  everyMinutes: number;
  /** Newest first. */
  kept: readonly BackupFile[];
  /** Older stores that lie beside the hub's, see `storesBeside`. */
  beside: readonly string[];
  /** One that holds somebody who was erased since and does not go by itself: the last sound one, or one that holds more than the store. */
  holding: string | null;
  /** A copy that holds more than the store, as both were when it was looked at: at the start, or when it came into the folder. */
  ahead: Fault | null;
  /** Why the last try came to nothing; null when it did not fail. */
  failed: { atMs: number; fault: Fault } | null;
}

/** A copy that is further ahead than this has its time from a wrong clock. */
const FUTURE_MS = 3_600_000;
/** So many of the newest are kept, and the newest of each of so many days. */
const KEPT = { newest: 12, days: 7, damaged: 2 };
const NAME =
  /^evenhand-(\d{4})(\d{2})(\d{2})T(\d{2})(\d{2})(\d{2})(\d{3})Z(?:\.([0-9a-f]{8}))?(?:-([0-9a-f]{8}))?(?:\.damaged)?\.sqlite$/;
const markIn = (file: string): string | undefined => NAME.exec(file)?.[8];
const goneIn = (file: string): string | undefined => NAME.exec(file)?.[9];
const isOfDamaged = ({ file }: BackupFile): boolean => file.endsWith(".damaged.sqlite");
/** What a copy leaves behind that was killed half way, once nobody writes to it any more: another hub may be copying into this folder. */
const TORN =
  /^evenhand-\d{8}T\d{9}Z(?:\.([0-9a-f]{8}))?(?:-[0-9a-f]{8})?\.sqlite\.part(-journal)?$/;
const TORN_AFTER_MS = 10 * 60_000;

const freeOn = (folder: string): number => {
  const { bavail, bsize } = statfsSync(folder);
  return bavail * bsize;
};

/**
 * Copies the hub's store while it is at work: so often when something new came, at once when a test is closed or somebody is erased, and at the end.
 * A failure is told and never stops the hub. One copy at a time; whoever asks meanwhile gets the one that follows.
 */
export class Backups {
  readonly #folder: string;
  readonly #everyMs: number;
  readonly #copy: CopyOfStore;
  readonly #beside: () => readonly string[];
  readonly #whose: (copy: string) => Promise<string | undefined>;
  /** The mark of this hub in the names of its copies: others may copy into the same folder, as on one stick. */
  #mark: string | undefined;
  readonly #clock: Clock;
  readonly #onFailed: (fault: Fault) => void;
  #running: Promise<void> | undefined;
  #callOff: (() => void) | undefined;
  #isBehind = false;
  #isOver = false;
  /** Who is gone by now, see `GoneSoFar`. A copy bears it in its name: one that bears another, or none as those of earlier versions, holds somebody who is to be forgotten, whatever time it is of. */
  #gone = "";
  #failed: BackupState["failed"] = null;
  /** The disk on which the last copy was made, as the system numbers it. */
  #disk: number | undefined;
  readonly #freeBytes: (folder: string) => number;
  readonly #findAhead: (copies: readonly string[]) => Promise<readonly Ahead[]>;
  /** These hold more than the store: they stay, whoever is in them and however many come after them, until somebody takes them away. */
  #ahead: readonly Ahead[] = [];
  /** Copies that were looked at for that, and how long they were: one may have been half there. Those made here are not looked at. */
  readonly #lookedAt = new Map<string, number | "own">();

  /**
   * @param settings  `copy` writes a whole backup into a new file, on the disk when it resolves; `beside` says which older stores lie there; `onFailed` is told of the first of several
   *   failures in a row, and of a copy found later that holds more than the store. `whose` reads in a copy the mark of the hub that it is of; `findAhead` says which hold more.
   */
  constructor(
    settings: {
      folder: string;
      everyMinutes: number;
      copy: CopyOfStore;
      onFailed?: (fault: Fault) => void;
      beside?: () => readonly string[];
      whose?: (copy: string) => Promise<string | undefined>;
      findAhead?: (copies: readonly string[]) => Promise<readonly Ahead[]>;
      freeBytes?: (folder: string) => number;
    },
    clock = platformClock,
  ) {
    this.#folder = settings.folder;
    this.#everyMs = settings.everyMinutes * 60_000;
    this.#copy = settings.copy;
    this.#beside = settings.beside ?? (() => []);
    this.#whose = settings.whose ?? (async () => undefined);
    this.#findAhead = settings.findAhead ?? (async () => []);
    this.#freeBytes = settings.freeBytes ?? freeOn;
    this.#onFailed = settings.onFailed ?? (() => undefined);
    this.#clock = clock;
  }

  /**
   * From now on only copies of this hub are kept, let go, and given to its chief. Earlier versions gave copies no mark: they are named by the hub that is in them.
   * @param mark  eight hexadecimal digits
   */
  async belongsTo(mark: string): Promise<void> {
    this.#mark = mark;
    await this.#markAll();
    await this.#lookForAhead();
  }
  /** @returns those found now */
  async #lookForAhead(): Promise<readonly Ahead[]> {
    const news = this.#kept().flatMap(({ file, bytes }) => {
      const copy = join(this.#folder, file);
      const before = this.#lookedAt.get(copy);
      if (before === "own" || before === bytes) return [];
      this.#lookedAt.set(copy, bytes);
      return copy;
    });
    const found = news.length > 0 ? await this.#findAhead(news) : [];
    this.#ahead = [...this.#ahead, ...found];
    return found;
  }
  async #markAll(): Promise<void> {
    for (const file of this.#names()) {
      if (!NAME.test(file) || markIn(file) !== undefined) continue;
      // One that says of nobody is taken for this hub's: names that nobody lets go would stay.
      const mark = (await this.#whose(join(this.#folder, file))) ?? this.#mark;
      if (mark === undefined) continue;
      try {
        renameSync(join(this.#folder, file), join(this.#folder, file.replace("Z", `Z.${mark}`)));
      } catch {
        // Where nothing can be written the hub starts all the same; the next copy says so.
      }
    }
  }
  #names(): string[] {
    try {
      return readdirSync(this.#folder);
    } catch {
      return [];
    }
  }

  /** Something was stored; `isTurning` where a copy should not wait for its time. */
  stored(isTurning: boolean): void {
    this.#isBehind = true;
    if (isTurning) void this.now();
    else this.#soon();
  }
  /**
   * Somebody was erased: the copies that still hold that name go, once there is one that does not.
   * @param gone  the word for all who are gone now
   */
  erased(gone: string): void {
    this.#gone = gone;
    // Where no copy can be made the ones before keep that name: told again.
    this.#failed = null;
    this.stored(true);
  }
  /** Who was gone when this hub was started, perhaps by command: copies that hold them go as soon as there is one that does not. */
  beginsWithout(gone: string): void {
    this.#gone = gone;
    if (this.#kept().some((copy) => this.#isToForget(copy))) this.stored(true);
  }

  /** A copy of everything stored so far. Resolves when it is there, or has failed: see `state`. */
  now(): Promise<void> {
    this.#callOff?.();
    this.#callOff = undefined;
    const before = this.#running ?? Promise.resolve();
    const mine: Promise<void> = before
      .then(() => this.#make())
      .finally(() => {
        if (this.#running === mine) this.#running = undefined;
      });
    this.#running = mine;
    return mine;
  }
  /** No copy is begun any more: the hub that it is of was never there, or its store is gone. */
  giveUp(): void {
    this.#isOver = true;
    this.#callOff?.();
  }
  /** The last copy, where something came since the one before. */
  async close(): Promise<void> {
    this.#callOff?.();
    await this.#running;
    if (this.#isBehind && !this.#isOver) await this.now();
    this.#callOff?.();
  }

  get state(): BackupState {
    const kept = this.#kept();
    const ahead = this.#ahead.find(({ copy }) => kept.some(({ file }) => file === basename(copy)));
    return {
      folder: this.#folder,
      everyMinutes: this.#everyMs / 60_000,
      kept,
      ahead: ahead?.fault ?? null,
      beside: this.#beside(),
      holding: this.#holding(),
      failed: this.#failed,
    };
  }
  #holding(): string | null {
    const all = this.#kept();
    if (all.every((one) => this.#isToForget(one))) return null;
    const last = this.#lastSound(all);
    const holds = all.find((one) => this.#isToForget(one) && (one === last || this.#isAhead(one)));
    return holds?.file ?? null;
  }
  /** The whole paths of all copies, newest first. */
  get #all(): string[] {
    return this.#kept().map(({ file }) => join(this.#folder, file));
  }
  /** The whole path of the newest copy; undefined while there is none. */
  get newest(): string | undefined {
    return this.#all[0];
  }

  #soon(): void {
    if (this.#everyMs > 0 && !this.#isOver)
      this.#callOff ??= this.#clock.after(this.#everyMs, () => void this.now());
  }

  async #make(): Promise<void> {
    const atMs = this.#clock.nowMs();
    const time = new Date(atMs).toISOString().replace(/[-:.]/g, "");
    const begun = [this.#mark && `.${this.#mark}`, this.#gone && `-${this.#gone}`].join("");
    let file = `evenhand-${time}${begun}.sqlite`;
    this.#isBehind = false;
    try {
      this.#mustBeOnItsDisk();
      mkdirSync(this.#folder, { recursive: true, mode: 0o700 });
      // A stick may have been put in since.
      if (this.#mark) await this.#markAll();
      const [ahead] = await this.#lookForAhead();
      if (ahead) this.#onFailed(ahead.fault);
      this.#lookedAt.set(join(this.#folder, file), "own");
      const made = await this.#copyMakingRoom(join(this.#folder, file));
      if (made === "damaged") {
        const damaged = file.replace(/sqlite$/, "damaged.sqlite");
        renameSync(join(this.#folder, file), join(this.#folder, damaged));
        file = damaged;
      }
      this.#failed = null;
      this.#disk = this.#diskNow;
      this.#thin(file, atMs);
    } catch (error) {
      this.#isBehind = true;
      const fault: Fault =
        error instanceof FaultError
          ? error.fault
          : { code: "STORE_LOST", with: { file: this.#folder, detail: String(error) } };
      if (!this.#failed && !this.#isOver) this.#onFailed(fault);
      this.#failed = { atMs, fault };
      this.#soon();
    }
  }

  /** Where a stick was mounted a folder stays, of the disk beneath: names in a copy that was made there would outlast every erasing. */
  #mustBeOnItsDisk(): void {
    if (this.#disk === undefined || this.#diskNow === this.#disk || this.#all.length > 0) return;
    throw new FaultError({ code: "COPIES_GONE", with: { folder: this.#folder } });
  }
  get #diskNow(): number | undefined {
    return statSync(this.#folder, { throwIfNoEntry: false })?.dev;
  }

  /** Where the disk is full older copies make room for a new one, but for the last, and the last sound one. */
  async #copyMakingRoom(file: string): Promise<void | "damaged"> {
    for (;;)
      try {
        return await this.#copy(file);
      } catch (error) {
        const all = this.#kept();
        const stays = [all[0], all.find((one) => !isOfDamaged(one))];
        const oldest = all.findLast((one) => !stays.includes(one) && !this.#isAhead(one));
        if (!oldest || !this.#isTight(all[0]?.bytes ?? 0)) throw error;
        rmSync(join(this.#folder, oldest.file));
      }
  }
  /** Whether a copy of this size would hardly find room. */
  #isTight(bytes: number): boolean {
    return this.#freeBytes(this.#folder) < 2 * bytes;
  }
  #isAhead({ file }: BackupFile): boolean {
    return this.#ahead.some(({ copy }) => basename(copy) === file);
  }

  /** @param made  the copy that was just made: it stays, though a clock that went back says that it is the oldest */
  #thin(made: string, madeMs: number): void {
    for (const file of readdirSync(this.#folder))
      if (
        this.#isOwn(TORN.exec(file)?.[1]) &&
        TORN.test(file) &&
        madeMs - this.#writtenAtMs(file) > TORN_AFTER_MS
      )
        rmSync(join(this.#folder, file));
    const drop = ({ file }: BackupFile) => rmSync(join(this.#folder, file));
    const all = this.#kept();
    const [damaged, sound] = [all.filter(isOfDamaged), all.filter((one) => !isOfDamaged(one))];
    // Somebody may have been erased while it was made: then the one that follows takes their place.
    const isClean = !this.#isToForget({ file: made });
    const last = isClean ? this.#lastSound(all) : undefined;
    const stays = (one: BackupFile) => one === last || one.file === made || this.#isAhead(one);
    damaged.forEach((copy, place) => {
      if (stays(copy)) return;
      if ((isClean && this.#isToForget(copy)) || place >= KEPT.damaged) drop(copy);
    });
    const days = new Set<string>();
    sound.forEach((copy, place) => {
      const day = new Date(copy.atMs).toISOString().slice(0, 10);
      const isOfDay = !days.has(day) && days.size < KEPT.days;
      days.add(day);
      if (stays(copy)) return;
      if ((isClean && this.#isToForget(copy)) || (place >= KEPT.newest && !isOfDay)) drop(copy);
    });
  }
  #isToForget({ file }: Pick<BackupFile, "file">): boolean {
    return this.#gone !== "" && goneIn(file) !== this.#gone;
  }
  /** Of copies in which a test is damaged few are kept; the last sound one outlasts them, whoever is in it: see `holding`. Undefined where one without them is sound. */
  #lastSound(all: readonly BackupFile[]): BackupFile | undefined {
    const sound = all.filter((one) => !isOfDamaged(one));
    return sound.every((one) => this.#isToForget(one)) ? sound[0] : undefined;
  }

  /** Of what bears no mark nobody knows whose it is: a hub of before may be writing it. */
  #isOwn(mark: string | undefined): boolean {
    return mark === undefined || mark === this.#mark;
  }
  /** Undefined for a link that leads nowhere, or what a damaged disk does not give. */
  #bytesOf(file: string): number | undefined {
    try {
      return statSync(join(this.#folder, file)).size;
    } catch {
      return undefined;
    }
  }
  #writtenAtMs(file: string): number {
    return statSync(join(this.#folder, file)).mtimeMs;
  }

  #kept(): BackupFile[] {
    const nowMs = this.#clock.nowMs();
    // A clock that was wrong made a copy of the future: it is older than any that is made today, and takes nobody's place.
    const rank = ({ atMs }: BackupFile) => (atMs > nowMs + FUTURE_MS ? -atMs : atMs);
    return this.#names()
      .flatMap((file): BackupFile[] => {
        if (this.#mark !== undefined && markIn(file) !== this.#mark) return [];
        const [, year, month, day, hour, minute, second, ms] = NAME.exec(file) ?? [];
        if (year === undefined) return [];
        const atMs = Date.parse(`${year}-${month}-${day}T${hour}:${minute}:${second}.${ms}Z`);
        const bytes = this.#bytesOf(file);
        return bytes === undefined ? [] : [{ file, atMs, bytes }];
      })
      .sort((a, b) => rank(b) - rank(a));
  }
}
