import { basename, join } from "node:path";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { BackupState } from "../../line/doors.ts";
import { type Clock, platformClock } from "../../ports/clock.ts";
import { type CopiesDisk, type DiskWorkName, diskBy, diskHere, type Seen } from "./copies-disk.ts";
import type { Ahead, LookedAt } from "./copy-ahead.ts";
import { InTime } from "./in-time.ts";

/** One backup that lies in the folder. */
export interface BackupFile {
  file: string;
  /** Wall clock, milliseconds since 1970, when it was begun. */
  atMs: number;
  bytes: number;
}
/** Writes a whole backup into a new file, on the disk when it resolves; says where a test in it is damaged, as it is in the store. */
export type CopyOfStore = (file: string) => Promise<void | "damaged">;
/** A disk that has said nothing for so long does not answer; writing or reading a whole copy takes its time. Milliseconds. */
const SILENT_AFTER_MS = 10_000;
const COPY_SILENT_AFTER_MS = 60_000;
const OF_WHOLE_COPIES: ReadonlySet<DiskWorkName> = new Set([
  "whose",
  "ends",
  "ids",
  "soundEntries",
]);
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

/**
 * Copies the hub's store while it is at work: so often when something new came, at once when a test is closed or somebody is erased, and at the end.
 * A failure is told and never stops the hub, nor does a disk that does not answer: nothing here waits for it longer than `SILENT_AFTER_MS`, and what it does when
 * it answers again counts. One copy at a time; whoever asks meanwhile gets the one that follows.
 */
export class Backups {
  readonly #folder: string;
  readonly #everyMs: number;
  readonly #copy: CopyOfStore;
  readonly #beside: () => readonly string[];
  /** The mark of this hub in the names of its copies: others may copy into the same folder, as on one stick. */
  #mark: string | undefined;
  readonly #clock: Clock;
  readonly #onFailed: (fault: Fault) => void;
  /** Asked with an eye on the time, see `answered`. */
  readonly disk: CopiesDisk;
  readonly #answers: InTime;
  readonly #closeDisk: () => void;
  /** The folder as it was when it was last looked at. */
  #seen: Seen = { disk: undefined, files: [] };
  #stays: readonly string[] = [];
  #staysFault: Fault | null = null;
  #beginning: Promise<void> | undefined;
  #running: Promise<void> | undefined;
  /** The one that follows. */
  #next: Promise<void> | undefined;
  #callOff: (() => void) | undefined;
  #isBehind = false;
  #isOver = false;
  /** Who is gone by now, see `GoneSoFar`. A copy bears it in its name: one that bears another, or none as those of earlier versions, holds somebody who is to be forgotten, whatever time it is of. */
  #gone = "";
  #failed: Required<BackupState>["failed"] = null;
  /** The disk on which the last copy was made, as the system numbers it. */
  #lastDisk: number | undefined;
  readonly #findAhead: (copies: readonly string[], disk: CopiesDisk) => Promise<LookedAt>;
  /** These hold more than the store: they stay, whoever is in them and however many come after them, until somebody takes them away. */
  #ahead: readonly Ahead[] = [];
  /** Copies that were read to the end for that, and how long they were: one may have been half there. Those made here are not looked at. No other goes. */
  readonly #lookedAt = new Map<string, number | "own">();
  /** One look at a time: where the disk is slow the next finds what the one before has read. */
  #looking: Promise<unknown> = Promise.resolve();

  /**
   * @param settings  `copy` writes a whole backup into a new file, on the disk when it resolves; `beside` says which older stores lie there; `onFailed` is told of the first of several
   *   failures in a row, of a copy found later that holds more than the store, and of one that cannot be removed; `findAhead` says which copies hold more, and which it could not read; `disk` does what is done in the folder, and `closeDisk` ends that.
   */
  constructor(
    settings: {
      folder: string;
      everyMinutes: number;
      copy: CopyOfStore;
      onFailed?: (fault: Fault) => void;
      beside?: () => readonly string[];
      findAhead?: (copies: readonly string[], disk: CopiesDisk) => Promise<LookedAt>;
      disk?: CopiesDisk;
      closeDisk?: () => void;
    },
    clock = platformClock,
  ) {
    this.#folder = settings.folder;
    this.#everyMs = settings.everyMinutes * 60_000;
    this.#copy = settings.copy;
    this.#beside = settings.beside ?? (() => []);
    this.#findAhead = settings.findAhead ?? (async () => ({ ahead: [], unread: [] }));
    const { disk = diskHere, closeDisk = () => undefined } = settings;
    this.disk = diskBy((name: DiskWorkName, said) =>
      this.#answers.within(
        (disk[name] as (...all: unknown[]) => Promise<unknown>)(...said),
        OF_WHOLE_COPIES.has(name) ? COPY_SILENT_AFTER_MS : SILENT_AFTER_MS,
      ),
    );
    this.#closeDisk = closeDisk;
    this.#onFailed = settings.onFailed ?? (() => undefined);
    this.#clock = clock;
    this.#answers = new InTime(clock, () => {
      if (!this.#isOver) this.#onFailed(this.#silence);
    });
  }

  /**
   * From now on only copies of this hub are kept, let go, and given to its chief. Earlier versions gave copies no mark: they are named by the hub that is in them.
   * @param mark  eight hexadecimal digits
   * @returns that a copy holds more than the store; one that is found when nobody waits any more is told
   */
  async belongsTo(mark: string): Promise<Fault | undefined> {
    this.#mark = mark;
    let isLate = false;
    const looking = (async () => {
      await this.#markAll();
      const found = await this.#lookForAhead();
      if (isLate) this.#tellAhead(found);
      return found;
    })();
    const found = await this.answered(looking).catch((): readonly Ahead[] => []);
    isLate = true;
    return found[0]?.fault;
  }
  #tellAhead([first]: readonly Ahead[]): void {
    if (first && !this.#isOver) this.#onFailed(first.fault);
  }
  /** @returns those found now */
  #lookForAhead(): Promise<readonly Ahead[]> {
    const look = this.#looking.then(() => this.#lookAtNews());
    this.#looking = look.catch(() => undefined);
    return look;
  }
  async #lookAtNews(): Promise<readonly Ahead[]> {
    const news = (await this.#look()).filter((one) => !this.#isLookedAt(one));
    if (news.length === 0) return [];
    const copies = news.map(({ file }) => join(this.#folder, file));
    const nothingRead = () => ({ ahead: [], unread: copies });
    const { ahead, unread } = await this.#findAhead(copies, this.disk).catch(nothingRead);
    const read = new Map(news.map(({ file, bytes }) => [join(this.#folder, file), bytes]));
    for (const copy of unread) read.delete(copy);
    for (const [copy, bytes] of read) this.#lookedAt.set(copy, bytes);
    this.#ahead = [...this.#ahead.filter(({ copy }) => !read.has(copy)), ...ahead];
    return ahead;
  }
  #isLookedAt({ file, bytes }: BackupFile): boolean {
    const before = this.#lookedAt.get(join(this.#folder, file));
    return before === "own" || before === bytes;
  }
  async #markAll(): Promise<void> {
    await this.#look();
    for (const { file } of this.#seen.files) {
      if (!NAME.test(file) || markIn(file) !== undefined) continue;
      const from = join(this.#folder, file);
      try {
        // One that says of nobody is taken for this hub's: names that nobody lets go would stay.
        const mark = (await this.disk.whose(from)) ?? this.#mark;
        if (mark === undefined) continue;
        await this.disk.rename(from, join(this.#folder, file.replace("Z", `Z.${mark}`)));
      } catch {
        // Where nothing can be written the hub starts all the same; the next copy says so.
      }
    }
  }
  /** Looks anew. @returns the copies there, newest first */
  async #look(): Promise<BackupFile[]> {
    this.#seen = await this.disk.look(this.#folder);
    return this.#kept();
  }

  get #silence(): Fault {
    return { code: "BACKUP_FAILED", with: { why: "silent", file: this.#folder, detail: "" } };
  }
  /** What this work says, if the disk says anything. @throws FaultError BACKUP_FAILED where it does not: the work goes on when it does */
  answered<T>(work: Promise<T>): Promise<T> {
    return this.#answers.unlessLate(work, () => new FaultError(this.#silence));
  }
  async #unlessSilent(work: Promise<unknown> | undefined): Promise<void> {
    await this.answered(work ?? Promise.resolve()).catch(() => undefined);
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
    // Where no copy can be made, or one cannot go, the ones before keep that name: told again.
    this.#failed = null;
    this.#stays = [];
    this.stored(true);
  }
  /** Who was gone when this hub was started, perhaps by command: copies that hold them go as soon as there is one that does not. */
  beginsWithout(gone: string): void {
    this.#gone = gone;
    this.#beginning = this.#look().then(
      (kept) => void (kept.some((copy) => this.#isToForget(copy)) && this.stored(true)),
      () => undefined,
    );
  }

  /** A copy of everything stored so far. Resolves when it is there, has failed, or the disk does not answer: see `state`. */
  now(): Promise<void> {
    this.#callOff?.();
    this.#callOff = undefined;
    this.#next ??= this.#follow();
    return this.#unlessSilent(this.#next);
  }
  async #follow(): Promise<void> {
    await this.#running;
    this.#running = this.#next;
    this.#next = undefined;
    await this.#make();
  }
  /** No copy is begun any more: the hub that it is of was never there, or its store is gone. */
  giveUp(): void {
    this.#isOver = true;
    this.#callOff?.();
  }
  /** The last copy, where something came since the one before. A whole copy too is waited for no longer than anything else. */
  async close(): Promise<void> {
    this.#callOff?.();
    await this.#atTheEnd(this.#beginning);
    await this.#atTheEnd(this.#next ?? this.#running);
    if (this.#isBehind && !this.#isOver) {
      void this.now();
      await this.#atTheEnd(this.#next);
    }
    this.#callOff?.();
    if (this.#answers.lateSinceMs !== undefined) this.giveUp();
    this.#answers.close();
    this.#closeDisk();
  }

  #atTheEnd(work: Promise<void> = Promise.resolve()): Promise<void> {
    return this.#unlessSilent(this.#answers.within(work, SILENT_AFTER_MS));
  }

  async state(): Promise<Required<BackupState>> {
    await this.#unlessSilent(this.#look());
    const kept = this.#kept();
    const ahead = this.#ahead.find(({ copy }) => kept.some(({ file }) => file === basename(copy)));
    const { lateSinceMs } = this.#answers;
    return {
      folder: this.#folder,
      everyMinutes: this.#everyMs / 60_000,
      kept,
      ahead: ahead?.fault ?? null,
      beside: this.#beside(),
      holding: this.#holding(),
      stays: this.#staysFault,
      failed:
        lateSinceMs === undefined ? this.#failed : { atMs: lateSinceMs, fault: this.#silence },
    };
  }
  #holding(): string | null {
    const all = this.#kept();
    if (all.every((one) => this.#isToForget(one))) return null;
    const last = this.#lastSound(all);
    const holds = all.find((one) => this.#isToForget(one) && (one === last || this.#mustStay(one)));
    return holds?.file ?? null;
  }
  /** The newest copy, with its whole path; undefined while there is none. @throws FaultError BACKUP_FAILED where the disk does not answer */
  async newest(): Promise<BackupFile | undefined> {
    const [first] = await this.answered(this.#look());
    return first && { ...first, file: join(this.#folder, first.file) };
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
      this.#mustBeOnItsDisk(await this.#look());
      await this.disk.make(this.#folder);
      // A stick may have been put in since.
      if (this.#mark) await this.#markAll();
      this.#tellAhead(await this.#lookForAhead());
      this.#lookedAt.set(join(this.#folder, file), "own");
      const made = await this.#copyMakingRoom(join(this.#folder, file));
      if (made === "damaged") {
        const damaged = file.replace(/sqlite$/, "damaged.sqlite");
        await this.disk.rename(join(this.#folder, file), join(this.#folder, damaged));
        file = damaged;
        this.#lookedAt.set(join(this.#folder, file), "own");
      }
      this.#failed = null;
      await this.#look();
      this.#lastDisk = this.#seen.disk;
      await this.#thin(file, atMs);
    } catch (error) {
      this.#isBehind = true;
      const detail = error instanceof Error ? error.message : String(error);
      const fault: Fault =
        error instanceof FaultError
          ? error.fault
          : { code: "BACKUP_FAILED", with: { why: "other", file: this.#folder, detail } };
      if (!this.#failed && !this.#isOver) this.#onFailed(fault);
      this.#failed = { atMs, fault };
      this.#soon();
    }
  }

  /** Where a stick was mounted a folder stays, of the disk beneath: names in a copy that was made there would outlast every erasing. */
  #mustBeOnItsDisk(kept: readonly BackupFile[]): void {
    const { disk } = this.#seen;
    if (this.#lastDisk === undefined || disk === this.#lastDisk || kept.length > 0) return;
    throw new FaultError({ code: "COPIES_GONE", with: { folder: this.#folder } });
  }

  /** Where the disk is full older copies make room for a new one, but for the last, and the last sound one. */
  async #copyMakingRoom(file: string): Promise<void | "damaged"> {
    const cannotGo = new Set<string>();
    for (;;)
      try {
        return await this.#answers.within(this.#copy(file), COPY_SILENT_AFTER_MS);
      } catch (error) {
        const all = await this.#look();
        const stays = [all[0], all.find((one) => !isOfDamaged(one))];
        const mayGo = (one: BackupFile) =>
          !stays.includes(one) && !this.#mustStay(one) && !cannotGo.has(one.file);
        let isGone = false;
        while (!isGone) {
          const oldest = all.findLast(mayGo);
          if (!oldest || !(await this.#isTight(all[0]?.bytes ?? 0))) throw error;
          isGone = (await this.#drop(oldest.file)) === undefined;
          cannotGo.add(oldest.file);
        }
      }
  }
  /** Whether a copy of this size would hardly find room. */
  async #isTight(bytes: number): Promise<boolean> {
    return (await this.disk.freeBytes(this.#folder)) < 2 * bytes;
  }
  /** @returns why it stays */
  async #drop(file: string): Promise<string | undefined> {
    try {
      await this.disk.remove(join(this.#folder, file));
      return undefined;
    } catch (error) {
      const { code, message } = error as { code?: string; message: string };
      return code === "ENOENT" ? undefined : (code ?? message);
    }
  }
  /** It holds more than the store, or nobody knows what it holds. */
  #mustStay(one: BackupFile): boolean {
    return !this.#isLookedAt(one) || this.#ahead.some(({ copy }) => basename(copy) === one.file);
  }

  /**
   * Each by itself: one that cannot go keeps no other.
   * @param made  the copy that was just made: it stays, though a clock that went back says that it is the oldest
   */
  async #thin(made: string, madeMs: number): Promise<void> {
    const stuck: { file: string; detail: string }[] = [];
    for (const file of this.#toGo(made, madeMs)) {
      const detail = await this.#drop(file);
      if (detail !== undefined) stuck.push({ file, detail });
    }
    const [first] = stuck;
    const before = this.#stays;
    this.#stays = stuck.map(({ file }) => file);
    this.#staysFault = first
      ? {
          code: "BACKUP_FAILED",
          with: {
            why: "stays",
            file: stuck.map(({ file }) => join(this.#folder, file)).join(", "),
            detail: first.detail,
          },
        }
      : null;
    if (this.#staysFault && this.#stays.some((file) => !before.includes(file)))
      this.#onFailed(this.#staysFault);
  }
  #toGo(made: string, madeMs: number): string[] {
    const going = this.#seen.files.flatMap(({ file, writtenAtMs }) => {
      const torn = TORN.exec(file);
      const isOld = madeMs - writtenAtMs > TORN_AFTER_MS;
      return torn && isOld && this.#isOwn(torn[1]) ? [file] : [];
    });
    const all = this.#kept();
    const [damaged, sound] = [all.filter(isOfDamaged), all.filter((one) => !isOfDamaged(one))];
    // Somebody may have been erased while it was made: then the one that follows takes their place.
    const isClean = !this.#isToForget({ file: made });
    const last = isClean ? this.#lastSound(all) : undefined;
    const stays = (one: BackupFile) => one === last || one.file === made || this.#mustStay(one);
    damaged.forEach((copy, place) => {
      if (stays(copy)) return;
      if ((isClean && this.#isToForget(copy)) || place >= KEPT.damaged) going.push(copy.file);
    });
    const days = new Set<string>();
    sound.forEach((copy, place) => {
      const day = new Date(copy.atMs).toISOString().slice(0, 10);
      const isOfDay = !days.has(day) && days.size < KEPT.days;
      days.add(day);
      if (stays(copy)) return;
      const isOneMore = place >= KEPT.newest && !isOfDay;
      if ((isClean && this.#isToForget(copy)) || isOneMore) going.push(copy.file);
    });
    return going;
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

  #kept(): BackupFile[] {
    const nowMs = this.#clock.nowMs();
    // A clock that was wrong made a copy of the future: it is older than any that is made today, and takes nobody's place.
    const rank = ({ atMs }: BackupFile) => (atMs > nowMs + FUTURE_MS ? -atMs : atMs);
    return this.#seen.files
      .flatMap(({ file, bytes }): BackupFile[] => {
        if (this.#mark !== undefined && markIn(file) !== this.#mark) return [];
        const [, year, month, day, hour, minute, second, ms] = NAME.exec(file) ?? [];
        if (year === undefined) return [];
        const atMs = Date.parse(`${year}-${month}-${day}T${hour}:${minute}:${second}.${ms}Z`);
        return [{ file, atMs, bytes }];
      })
      .sort((a, b) => rank(b) - rank(a));
  }
}
