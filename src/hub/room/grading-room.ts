import { uuidv7 } from "uuidv7";
import { refusalOfNew } from "../../belt-test/intake/refusal-of-new.ts";
import { isChief, type Writer } from "../../belt-test/permit/writer.ts";
import { deviceOf } from "../../belt-test/scorebook/counts.ts";
import { DeviceCounts } from "../../belt-test/scorebook/device-counts.ts";
import { type AnyEntry, isKnown, readEntry } from "../../belt-test/scorebook/entry.ts";
import { isHeld } from "../../belt-test/scorebook/held-first.ts";
import { isOutOfTurn } from "../../belt-test/scorebook/out-of-turn.ts";
import { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { SideRecord } from "../../belt-test/scorebook/side-record.ts";
import type { Viewer } from "../../belt-test/scorebook/sight.ts";
import type { StoredEntry } from "../../belt-test/scorebook/stored-entry.ts";
import { type Fault, FaultError } from "../../book/faults.ts";
import {
  CountId,
  type DeviceId,
  type EntryId,
  type GradingId,
  type PersonId,
  type SideRecordId,
} from "../../book/identity.ts";
import { CoverageBoard } from "../../line/coverage-board.ts";
import { Feed, feedId } from "../../line/feed.ts";
import { Ledger } from "../../line/ledger.ts";
import type { CoverageNews } from "../../line/protocol.ts";
import { refsIn } from "../../line/refs-in.ts";
import { type Run, runsOf } from "../../line/runs.ts";
import { type Clock, platformClock } from "../../ports/clock.ts";
import type { Appended, ScorebookStore } from "../../ports/scorebook-store.ts";
import type { HeldBox } from "../seals/held-box.ts";
import { canonicalText } from "../store/chain.ts";
import { GroupCommit } from "./group-commit.ts";
import { HeardCounts } from "./heard-counts.ts";
import { heldAt, openPlaces } from "./held-at.ts";
import { LostPlan } from "./lost-plan.ts";
import { RefusedMarks } from "./refused-marks.ts";
import { refusalOfSide, SideShelf } from "./side-shelf.ts";

/** Who hands entries in, as the token says; never as the entries say. */
export interface Author extends Writer {
  device: DeviceId;
  /** Further devices of the same person that are out: what was written there may come this way, as a file that was carried over. */
  alsoOn?: ReadonlySet<DeviceId>;
  /** Those that are in: each writes its count itself. */
  alsoIn?: ReadonlySet<DeviceId>;
  /** Nothing is offered again: what follows a line that was refused need not wait for it. */
  isDone?: boolean;
  /** Whether they were sent out since: what still waits for its commit is not taken then. */
  isOut?(): boolean;
  /** Told of each new entry of theirs when it is on the disk, before anybody is sent it. */
  wrote?(stored: StoredEntry): void;
}
interface Job {
  author: Author;
  entries: readonly unknown[];
  sides: readonly SideRecord[];
}
/** What became of a batch: kept (now or before), or refused with the reason, entry by entry. */
export interface Handed {
  kept: EntryId[];
  refused: { id: EntryId | null; fault: Fault }[];
}
/** Told of everybody erased, and what their records call them, while those are there still; nothing goes before it resolves. A FaultError puts it off. */
type OnErasing = (grading: GradingId, about: string, called: readonly string[]) => unknown;
/** Told once of everybody erased, after their records are gone from the store; and again by a room that opens. */
type OnErased = (grading: GradingId, about: string) => void;
export interface RoomSettings {
  clock?: Clock;
  onErasing?: OnErasing;
  onErased?: OnErased;
  /** Told of every group that has come to the disk here. */
  onStored?: (lines: readonly StoredEntry[]) => void;
  /** Told where this hub's own writing has taken the book, so that others on the same store read on. */
  onWrote?: (grading: GradingId, upTo: number) => void;
  /** Told of a test that is damaged on the disk, or whose names and texts are. */
  onTrouble?: (fault: Fault) => void;
  /** So many entries are taken of one device; a stop, an incident and a withdrawal always. */
  mostADevice?: number;
  makeId?: () => string;
  /** Where what the hub held of closed marks is shut away for the chief's device to keep. */
  box?: HeldBox | undefined;
  /** Whom the hub knows to be erased besides the book: a restored book may be older than that. */
  erasedBefore?: (grading: GradingId) => Iterable<string>;
}
/** How far a tablet says it has read, in which feed, and the link of the chain there. */
export interface ReadSoFar {
  feed: string | undefined;
  cursor: number;
  link?: string | undefined;
}
/** Told after each commit. */
type NewsListener = (news: {
  coverage: CoverageNews;
  /** The newest line, where the chain stands there is worth keeping elsewhere, a lock or the closing having come, and nothing lies under seal. */
  turn: StoredEntry | undefined;
}) => void;

/** Records that the disk would not erase are tried again after this long. Milliseconds. */
const ERASE_AGAIN_MS = 5_000;
/** Four hours at a tap every two seconds are 7,200 lines. A device that hands in so many is no hand, and may not fill the disk. */
const MOST_A_DEVICE = 50_000;
/** So many lines are read at once: a few hundredths of a second. */
const PAGE = 1_000;
/** So many entries of one device go into one commit while others wait. */
const SHARE = 50;
const nobody: Author = { person: "" as PersonId, roles: [], device: "" as DeviceId };

/** One entry that may be kept, on its way to the disk. */
interface Accepted {
  job: number;
  author: Author;
  entry: AnyEntry;
}

/** What may be kept of a group, and what is answered. */
interface Decision {
  entries: readonly AnyEntry[];
  sides: readonly SideRecord[];
  accepted: readonly Accepted[];
  answers: Handed[];
}

/**
 * One grading, open at this hub: takes entries, keeps them, and knows what each viewer is sent.
 * `book` may run ahead of the disk while a group is being checked; `ledger`, feeds and coverage never do.
 */
export class GradingRoom {
  readonly grading: GradingId;
  readonly #store: ScorebookStore;
  readonly #hub: string;
  readonly #clock: Clock;
  readonly #commits: GroupCommit<Job, Handed>;
  readonly #ledger = new Ledger();
  readonly #coverage = new CoverageBoard();
  readonly #sides = new SideShelf();
  readonly #feeds = new Map<string, Feed>();
  readonly #listeners = new Set<NewsListener>();
  /** Each device's count as this hub has heard it, refused entries included. */
  readonly #counts = new DeviceCounts();
  readonly #heardIn = (count: string): number => this.#counts.last(count as CountId);
  /** The numbers on the disk, by device and count. */
  readonly #held = new Map<DeviceId, Map<CountId, number[]>>();
  /** Of whom the disk still holds records that nobody is sent any more; and which of them are wrongly filed. */
  readonly #toErase = new Map<string, SideRecordId[]>();
  /** Names of whom it has not told yet that they are erased. */
  readonly #wasCalled = new Map<string, readonly string[]>();
  /** Waits to ask the disk again; one for all that could not go. */
  #eraseAgain: (() => void) | undefined;
  /** Why an erasing waits for the disk. */
  #erasedWaits: Fault | undefined;
  #isClosed = false;
  /** Of whom this room has told that they are erased. */
  readonly #forgotten = new Set<string>();
  readonly #onErasing: OnErasing;
  readonly #onErased: OnErased;
  readonly #onWrote: (grading: GradingId, upTo: number) => void;
  readonly #onStored: (lines: readonly StoredEntry[]) => void;
  readonly #erasedBefore: ReadonlySet<string>;
  readonly #mostADevice: number;
  readonly #makeId: () => string;
  readonly #box: HeldBox | undefined;
  readonly #onTrouble: (fault: Fault) => void;
  readonly #heard = new HeardCounts();
  readonly #lostPlan = new LostPlan();
  readonly #refusedMarks = new RefusedMarks();
  /** Why nothing more is taken. */
  #damage: FaultError | undefined;
  #isOpened = false;
  #book = new Scorebook();

  private constructor(
    grading: GradingId,
    store: ScorebookStore,
    hub: string,
    {
      clock,
      onErasing,
      onErased,
      onStored,
      onWrote,
      onTrouble,
      erasedBefore,
      mostADevice,
      makeId,
      box,
    }: Required<RoomSettings>,
  ) {
    this.grading = grading;
    this.#store = store;
    this.#hub = hub;
    this.#clock = clock;
    this.#onErasing = onErasing;
    this.#onErased = onErased;
    this.#onStored = onStored;
    this.#onWrote = onWrote;
    this.#onTrouble = onTrouble;
    this.#mostADevice = mostADevice;
    this.#makeId = makeId;
    this.#box = box;
    this.#erasedBefore = new Set(erasedBefore(grading));
    this.#commits = new GroupCommit((jobs) => this.#commit(jobs), {
      sourceOf: ({ author }) => author.device,
      weigh: ({ entries }) => entries.length,
      share: SHARE,
      clock,
    });
  }

  /** Reads the grading from the store. */
  static async open(
    grading: GradingId,
    store: ScorebookStore,
    hub: string,
    settings: RoomSettings = {},
  ): Promise<GradingRoom> {
    const room = new GradingRoom(grading, store, hub, {
      clock: platformClock,
      onErasing: () => undefined,
      onErased: () => undefined,
      onStored: () => undefined,
      onWrote: () => undefined,
      onTrouble: () => undefined,
      erasedBefore: () => [],
      mostADevice: MOST_A_DEVICE,
      makeId: uuidv7,
      box: undefined,
      ...settings,
    });
    // A long book is read by the page, so that other halls and lines are heard between.
    for (let page = await room.#next(PAGE); page.length > 0; page = await room.#next(PAGE)) {
      for (const stored of page) {
        room.#book.add(stored.entry);
        room.#publish(stored);
      }
      await new Promise<void>((go) => void room.#clock.after(0, go));
    }
    for (const side of await store.sides(grading)) room.#sides.take(side);
    // A hub that was killed between the entry and the erasing does it now.
    await room.#forget();
    room.#isOpened = true;
    // An erasing that waits was told of already.
    if (room.trouble && room.trouble !== room.erasedWaits) room.#onTrouble(room.trouble);
    return room;
  }

  /** Hands entries in as they came over the wire. Resolves when what is kept is on the disk. */
  handIn(
    author: Author,
    entries: readonly unknown[],
    sides: readonly SideRecord[] = [],
  ): Promise<Handed> {
    const { fault } = this.#damage ?? {};
    if (fault)
      return Promise.resolve({
        kept: [],
        refused: entries.map((json) => ({ id: nameOf(json).id, fault })),
      });
    if (entries.length <= SHARE) return this.#commits.add({ author, entries, sides });
    const shares = Array.from({ length: Math.ceil(entries.length / SHARE) }, (_, index) =>
      this.#commits.add({
        author,
        entries: entries.slice(index * SHARE, (index + 1) * SHARE),
        sides,
      }),
    );
    return Promise.all(shares).then((answers) => ({
      kept: answers.flatMap(({ kept }) => kept),
      refused: answers.flatMap(({ refused }) => refused),
    }));
  }
  flush(): Promise<void> {
    return this.#commits.flush();
  }
  /** Why somebody whom the chief had erased is on the disk still; undefined where nobody is. */
  get erasedWaits(): Fault | undefined {
    return this.#erasedWaits;
  }
  /** Tries nothing again. */
  close(): void {
    this.#isClosed = true;
    this.#eraseAgain?.();
  }
  /** Takes up what others wrote to the store since, such as another hub process on the same database. */
  async refresh(): Promise<void> {
    await this.#commits.add({ author: nobody, entries: [], sides: [] });
  }

  feedId(viewer: Viewer): string {
    return feedId(this.#hub, this.grading, viewer);
  }
  feed(viewer: Viewer): Feed {
    const id = this.feedId(viewer);
    let feed = this.#feeds.get(id);
    if (!feed) this.#feeds.set(id, (feed = new Feed(viewer, this.#ledger.steps)));
    return feed;
  }
  /** Whether a tablet has read this feed in a book that this hub has lost: further than it goes, or to another line. */
  hasLost(viewer: Viewer, { feed, cursor, link }: ReadSoFar): boolean {
    if (feed !== this.feedId(viewer)) return false;
    const its = this.feed(viewer);
    return cursor > its.length || (link !== undefined && link !== its.linkAt(cursor));
  }
  /** Looks whether somebody else wrote on; where nobody did, what others than the chief bring waits. */
  async lookForLost(viewer: Viewer, read: ReadSoFar): Promise<void> {
    if (!this.hasLost(viewer, read)) return;
    await this.refresh();
    if (this.hasLost(viewer, read)) this.#lostPlan.wasLost();
  }
  /** A chief's tablet has handed in all that it had. */
  chiefHasCome(): void {
    this.#lostPlan.chiefHasCome();
  }
  /** The last line this hub knows of. */
  get last(): StoredEntry | undefined {
    return this.#ledger.steps.at(-1)?.stored;
  }
  /** The newest line at which no mark was closed: how long the book is then tells nobody how often a judge has tapped. */
  get lastUnsealed(): StoredEntry | undefined {
    return this.#ledger.lastUnsealed;
  }
  /** Its place. */
  get upTo(): number {
    return this.#ledger.steps.length;
  }
  /** Which numbers of a device's entries are on the disk, count by count. */
  holds(device: DeviceId): Map<CountId, Run[]> {
    const held = this.#held.get(device) ?? new Map<CountId, number[]>();
    return new Map([...held].map(([count, numbers]) => [count, runsOf(numbers)]));
  }
  /** The book as it is on the disk. */
  get book(): Scorebook {
    return this.#ledger.book;
  }
  /** The highest logical time there is: the book's, or what more than one liar has heard. */
  get lamport(): number {
    return Math.max(this.#ledger.book.lamport, this.#heard.believed);
  }
  /** What a device says it has heard at most. */
  hasHeard(who: Writer, lamport: number): void {
    this.#heard.says(who, lamport, this.#ledger.book.lamport);
  }
  wasShouted(lamport: number): void {
    this.#heard.wasShouted(lamport);
  }
  /** What is wrong with this test as it lies on the disk, or why somebody who was erased is on it still. */
  get trouble(): Fault | undefined {
    return (
      this.#damage?.fault ??
      this.#sides.trouble(this.grading, this.#erasedBefore) ??
      this.#erasedWaits
    );
  }
  side(id: SideRecordId): SideRecord | undefined {
    return this.#sides.shown(id);
  }
  coverage(): CoverageNews {
    return this.#coverage.all();
  }
  onNews(listener: NewsListener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  async #commit(jobs: Job[]): Promise<Handed[]> {
    let decision = this.#decide(jobs);
    if (decision.accepted.length > 0) return this.#write(decision, jobs);
    // Nothing is written that would tell whether the book is still the newest, so it is looked at before anybody is refused by it.
    const mustLook = jobs.some(
      ({ entries }, index) =>
        entries.length === 0 || (decision.answers[index]?.refused.length ?? 0) > 0,
    );
    if (!mustLook || !(await this.#readOn())) return decision.answers;
    decision = this.#decide(jobs);
    return decision.accepted.length > 0 ? this.#write(decision, jobs) : decision.answers;
  }

  /** What may be kept of these jobs, by the book as it is now. What may is entered in the book. */
  #decide(jobs: readonly Job[]): Decision {
    const answers = jobs.map((): Handed => ({ kept: [], refused: [] }));
    const accepted: Accepted[] = [];
    const sides = new Map<SideRecordId, SideRecord>();
    for (const [index, job] of jobs.entries()) {
      const offered = new Map(job.sides.map((side) => [side.id, side]));
      for (const json of job.entries) {
        const answer = answers[index] as Handed;
        const checked = this.#check(job.author, json, (id) => sides.get(id) ?? offered.get(id));
        if ("fault" in checked) answer.refused.push(checked);
        else if ("known" in checked) answer.kept.push(checked.known);
        else {
          const openBefore = openPlaces(this.#book, checked.entry);
          this.#enter(checked.entry);
          accepted.push({ job: index, author: job.author, entry: checked.entry });
          for (const side of checked.sides) sides.set(side.id, side);
          for (const entry of this.#saysItself(checked.entry, job.author, openBefore)) {
            this.#enter(entry);
            accepted.push({ job: index, author: nobody, entry });
          }
        }
      }
    }
    return {
      entries: accepted.map(({ entry }) => entry),
      sides: [...sides.values()],
      accepted,
      answers,
    };
  }

  /** What the hub writes beside an entry: what it holds at an opening, or held by its own word that is given back. */
  #saysItself(
    entry: AnyEntry,
    { isFromRoad }: Author,
    openBefore: ReadonlySet<string>,
  ): AnyEntry[] {
    if (!isKnown(entry) || entry.kind !== "held-sealed")
      return heldAt(this.#book, entry, {
        nowMs: this.#clock.nowMs(),
        makeId: this.#makeId,
        box: this.#box,
        isFromRoad,
        openBefore,
      });
    const held = this.#box?.open(entry.body.box) ?? [];
    return held.filter(({ id }) => !this.#book.entry(id));
  }

  async #write(first: Decision, jobs: readonly Job[]): Promise<Handed[]> {
    let decision = first;
    let appended: Appended;
    try {
      appended = await this.#store.append(this.grading, first.entries, first.sides, {
        place: this.#ledger.steps.length,
        link: this.last?.chain,
        decideAgain: (lines, sides) => {
          this.#rewind();
          this.#takeUp(lines, sides);
          decision = this.#decide(jobs);
          return decision;
        },
      });
    } catch (error) {
      // The book holds what the disk does not: back to what was published.
      this.#rewind();
      this.#noteDamage(error);
      throw error;
    }
    const { added, known, refused } = appended;
    const { entries, sides, accepted, answers } = decision;
    for (const side of sides) this.#sides.take(side);
    const byId = new Map(accepted.map((one) => [one.entry.id, one]));
    for (const stored of added) byId.get(stored.entry.id)?.author.wrote?.(stored);
    for (const id of [...added.map(({ entry }) => entry.id), ...known]) {
      const one = byId.get(id);
      // What the hub wrote itself is nobody's to hear of.
      if (one && one.author !== nobody) answers[one.job]?.kept.push(id);
    }
    for (const one of refused) answers[byId.get(one.id)?.job ?? -1]?.refused.push(one);
    const isNext = added[0]?.seq === this.#ledger.steps.length + 1;
    if (isNext && added.length === entries.length) this.#tell(added);
    else {
      await this.#readOn();
      this.#rewind();
    }
    const last = added.at(-1);
    if (last) this.#onWrote(this.grading, last.seq);
    await this.#forget();
    return answers;
  }

  /** Removes from the disk what is held of people whom the chief had erased. */
  async #forget(): Promise<void> {
    const { erased: written } = this.#ledger.book;
    if (written.size + this.#erasedBefore.size === 0) return;
    const erased = new Set([...written, ...this.#erasedBefore]);
    for (const about of erased) {
      const called = this.#sides.namesOf(about);
      if (called.length > 0) this.#wasCalled.set(about, called);
    }
    for (const [about, ids] of this.#sides.forget(erased))
      this.#toErase.set(about, [...(this.#toErase.get(about) ?? []), ...ids]);
    try {
      const ahead = [...erased].filter((about) => !this.#forgotten.has(about));
      for (const [at, about] of ahead.entries()) {
        if (at > 0) await othersFirst();
        await this.#onErasing(this.grading, about, this.#wasCalled.get(about) ?? []);
      }
      for (const [about, ids] of [...this.#toErase]) {
        await this.#store.erase(this.grading, about, ids);
        this.#toErase.delete(about);
        if (this.#toErase.size > 0) await othersFirst();
      }
    } catch (error) {
      if (!(error instanceof FaultError)) throw error;
      // What was handed in is kept all the same, and nobody is sent the records; the disk is asked again, or whoever opens the test next asks it.
      if (this.#isClosed) return;
      const { code, with: { file = "", detail = code } = {} } = error.fault;
      const waits: Fault = { code: "ERASED_WAITS", with: { detail: `${file} ${detail}`.trim() } };
      if (!this.#erasedWaits) this.#onTrouble(waits);
      this.#erasedWaits = waits;
      this.#eraseAgain ??= this.#clock.after(ERASE_AGAIN_MS, () => {
        this.#eraseAgain = undefined;
        void this.#forget();
      });
      return;
    }
    this.#erasedWaits = undefined;
    for (const about of erased) {
      if (this.#forgotten.has(about)) continue;
      this.#forgotten.add(about);
      this.#onErased(this.grading, about);
      this.#wasCalled.delete(about);
    }
  }

  /** The next lines of the store; none where the record is damaged there. */
  async #next(limit?: number): Promise<StoredEntry[]> {
    try {
      return await this.#store.read(this.grading, this.upTo, limit);
    } catch (error) {
      if (!this.#noteDamage(error)) throw error;
      return [];
    }
  }
  /** A damaged record is read as far as it is sound, and nothing more is written to it. */
  #noteDamage(error: unknown): boolean {
    if (!(error instanceof FaultError) || error.fault.code !== "TEST_DAMAGED") return false;
    if (!this.#damage && this.#isOpened) this.#onTrouble(error.fault);
    this.#damage ??= error;
    return true;
  }

  /** Somebody else may have written to the store: takes up what is new there. @returns whether anything was. */
  async #readOn(): Promise<boolean> {
    const lines = await this.#next();
    if (lines.length === 0) return false;
    this.#lostPlan.chiefHasCome();
    this.#takeUp(lines, await this.#store.sides(this.grading));
    await this.#forget();
    return true;
  }
  #takeUp(lines: readonly StoredEntry[], sides: readonly SideRecord[]): void {
    for (const side of sides) this.#sides.take(side);
    for (const { entry } of lines) this.#enter(entry);
    this.#tell(lines);
  }

  #tell(lines: readonly StoredEntry[]): void {
    const news = lines.map((stored) => this.#publish(stored));
    const coverage = {
      work: news.flatMap(({ work }) => work),
      calls: news.flatMap(({ calls }) => calls),
    };
    const isTurn = lines.some(({ entry: { kind } }) => kind === "locked" || kind === "closed");
    const turn = isTurn && this.#ledger.lastUnsealed === this.last ? this.last : undefined;
    for (const listener of this.#listeners) listener({ coverage, turn });
    this.#onStored(lines);
  }

  /** Whether one entry may be kept; nothing is changed here but the count of what was heard. */
  #check(
    author: Author,
    json: unknown,
    sideOf: (id: SideRecordId) => SideRecord | undefined,
  ):
    | { entry: AnyEntry; sides: SideRecord[] }
    | { known: EntryId }
    | { id: EntryId | null; fault: Fault } {
    const read = readEntry(json);
    if (!read.ok) {
      const named = nameOf(json);
      // What cannot be read may name any count: of a device that is full none is begun.
      const isFull = this.#counts.heardOf(author.device) > this.#mostADevice;
      const isOwn = named.count && deviceOf(named.count) === author.device;
      if (named.count && isOwn && named.n !== undefined && !isFull)
        this.#counts.hear(named.count, named.n);
      const where = { path: read.path.join("."), detail: read.message };
      return { id: named.id, fault: { code: "ENTRY_MALFORMED", with: where } };
    }
    const { entry } = read;
    const { id, device, n } = entry;
    const before = this.#book.entry(id);
    if (before) {
      if (canonicalText(before) === canonicalText(entry)) return { known: id };
      // Whoever took this id is not to make the device that lost it wait for ever behind a gap.
      if (
        deviceOf(device) === author.device &&
        this.#counts.heardOf(author.device) <= this.#mostADevice
      )
        this.#counts.hear(device, n);
      return { id, fault: { code: "ID_REUSED", with: { id } } };
    }
    const refuse = (fault: Fault) => ({ id, fault });
    if (author.isOut?.()) return refuse({ code: "NOT_ADMITTED" });
    if (entry.grading !== this.grading) return refuse({ code: "GRADING_OTHER" });
    const owner = deviceOf(device);
    if (owner !== author.device && !author.alsoOn?.has(owner) && !isGivenBack(author, entry))
      return refuse({ code: author.alsoIn?.has(owner) ? "DEVICE_IN" : "NOT_YOURS" });
    const isForAnyone = isOutOfTurn(entry);
    // A stop does not wait for the entries before it.
    const misfit = this.#counts.fault(entry, isForAnyone);
    if (misfit?.code === "N_GAP") return refuse(misfit);
    if (this.#lostPlan.isAwaited && !isForAnyone && !isChief(author))
      return refuse({ code: "LAMPORT_TOO_HIGH" });
    const fault =
      misfit ??
      refusalOfNew(this.#book, { ...author, heardIn: this.#heardIn }, entry, this.#heard.told) ??
      this.#refusalOfHeld(entry) ??
      this.#refusedMarks.refusalOfLock(
        entry,
        n < this.#counts.last(device) && !this.#book.comesAgain(entry),
      );
    // What is only too far ahead is offered again by itself: nothing after it passes its place over, a lock least of all.
    if (fault?.code === "LAMPORT_TOO_HIGH" && !author.isDone) return refuse(fault);
    this.#counts.hear(device, n);
    if (!isForAnyone && this.#counts.heardOf(owner) > this.#mostADevice)
      return refuse({ code: "DEVICE_FULL", with: { most: this.#mostADevice } });
    if (fault) {
      this.#refusedMarks.refused(entry, fault);
      return refuse(fault);
    }
    this.#refusedMarks.taken(entry);
    const sides: SideRecord[] = [];
    for (const ref of isKnown(entry) ? refsIn(entry) : []) {
      const held = this.#sides.held(ref.id);
      const side = held ?? sideOf(ref.id);
      // Nothing is kept of whom the chief had erased, and no entry is refused for want of it.
      if (this.#isErased(entry, side)) continue;
      // What is on the disk already was taken by the rules of then.
      const wrong = refusalOfSide(entry, ref, side, this.#book, held !== undefined);
      // An incident is never refused, not even for want of its words; where they are too many, whoever wrote them must hear that they were not taken.
      if (wrong && (!isForAnyone || wrong.code === "ENTRY_TOO_LARGE")) return refuse(wrong);
      if (!wrong && !held && side) sides.push(side);
    }
    return { entry, sides };
  }

  /** What another hub held, or had shut away, this one does not know for its own; it says itself what it holds. */
  #refusalOfHeld(entry: AnyEntry): Fault | null {
    if (!isHeld(entry)) return null;
    const box = this.#box;
    // On the road without a hub none has a code.
    if (entry.kind === "held" && !box) return null;
    const isOurs =
      entry.kind === "held"
        ? entry.body.vouch === box?.vouchFor(entry)
        : box
            ?.open(entry.body.box)
            ?.every(
              (one) => one.grading === this.grading && isHeld(one) && one.body.of === entry.body.of,
            );
    return isOurs ? null : { code: "HELD_ALREADY" };
  }

  #isErased({ body }: AnyEntry, side: SideRecord | undefined): boolean {
    const { candidate, candidates, person, judge } = body as Record<string, unknown>;
    const several = Array.isArray(candidates) ? candidates : [];
    return [side?.about, candidate, ...several, person, judge].some(
      (about) =>
        typeof about === "string" &&
        (this.#book.erased.has(about) || this.#erasedBefore.has(about)),
    );
  }

  #enter(entry: AnyEntry): void {
    this.#book.add(entry);
    this.#counts.take(entry);
  }

  /** What the disk has becomes visible. */
  #publish(stored: StoredEntry): CoverageNews {
    const { device, n } = stored.entry;
    this.#counts.take(stored.entry, true);
    const owner = deviceOf(device);
    const counts = this.#held.get(owner) ?? new Map<CountId, number[]>();
    this.#held.set(owner, counts);
    const numbers = counts.get(device);
    if (numbers) numbers.push(n);
    else counts.set(device, [n]);
    const step = this.#ledger.add(stored);
    this.#sides.note(stored.entry);
    for (const feed of this.#feeds.values()) feed.take(step);
    return this.#coverage.note(this.#ledger.book, stored.entry);
  }

  /** The book as it was published, and nothing that is only hoped for. */
  #rewind(): void {
    this.#book = new Scorebook();
    this.#counts.clear();
    for (const { stored } of this.#ledger.steps) {
      this.#book.add(stored.entry);
      this.#counts.take(stored.entry, true);
    }
  }
}

/** Where several are erased a slow disk is asked for one after another: what has come in meanwhile, for other tests too, is read between. */
const othersFirst = (): Promise<void> => new Promise((done) => setImmediate(done));

/** What a lost hub had said it held, from a chief's device: the hub writes each time under a device of its own. */
const isGivenBack = ({ roles }: Author, entry: AnyEntry): boolean =>
  isHeld(entry) && entry.device.startsWith("held-") && roles.includes("chief");

/** What can be read of an entry that cannot be read. */
function nameOf(json: unknown): {
  id: EntryId | null;
  count: CountId | undefined;
  n: number | undefined;
} {
  const { id, device, n } = (typeof json === "object" && json !== null ? json : {}) as {
    id?: unknown;
    device?: unknown;
    n?: unknown;
  };
  return {
    id: typeof id === "string" && id.length <= 64 ? (id as EntryId) : null,
    count: CountId.safeParse(device).data,
    n: typeof n === "number" ? n : undefined,
  };
}
