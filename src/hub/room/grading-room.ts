import { v7 as uuidv7 } from "uuid";
import { openerIn } from "../../belt-test/intake/chiefs-word.ts";
import type { Role } from "../../belt-test/kinds/body-parts.ts";
import { isChief, type Writer } from "../../belt-test/permit/writer.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { Viewer } from "../../belt-test/scorebook/sight.ts";
import { testReaders } from "../../belt-test/scorebook/test-readers.ts";
import { testSides } from "../../belt-test/scorebook/test-sides.ts";
import type { AnyEntry } from "../../book/entry.ts";
import { type Fault, FaultError } from "../../book/faults.ts";
import type {
  CountId,
  DeviceId,
  EntryId,
  GradingId,
  PersonId,
  SideRecordId,
} from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { CoverageBoard } from "../../line/coverage-board.ts";
import type { Feed } from "../../line/feed.ts";
import type { CoverageNews } from "../../line/protocol.ts";
import type { Run } from "../../line/runs.ts";
import { platformClock } from "../../ports/clock.ts";
import type { Appended, ScorebookStore } from "../../ports/scorebook-store.ts";
import type { HeldBox } from "../seals/held-box.ts";
import { Admission, type Decision, nameOf } from "./admission.ts";
import { Forgetting, type ForgettingSettings } from "./forgetting.ts";
import { GroupCommit } from "./group-commit.ts";
import { type Author, type Handed, type Job, nobody } from "./handed.ts";
import { type LostPlans, noLostPlans } from "./lost-plan.ts";
import { Published, type ReadSoFar } from "./published.ts";
import { locksMarkedOn } from "./refused-lines.ts";
import { SideShelf } from "./side-shelf.ts";

export interface RoomSettings
  extends Partial<Omit<ForgettingSettings, "erasedBefore" | "onTrouble" | "onUnswept">> {
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
  lostPlans?: LostPlans;
  /** Whom the hub knows to be erased besides the book: a restored book may be older than that. */
  erasedBefore?: (grading: GradingId) => Iterable<string>;
}
/** Told after each commit. */
type NewsListener = (news: RoomNews) => void;
interface RoomNews {
  coverage: CoverageNews;
  /** The newest line, where the chain stands there is worth keeping elsewhere, a lock or the closing having come, and nothing lies under seal. */
  turn: StoredEntry | undefined;
  /** What a chief is to hear by and by. */
  trouble: Fault | undefined;
}

/** Where a chief's new device alone has come: the one that has the plan may be in the hall, and may be lost. Milliseconds. */
const NEW_CHIEF_MS = 120_000;
/** Four hours at a tap every two seconds are 7,200 lines. A device that hands in so many is no hand, and may not fill the disk. */
const MOST_A_DEVICE = 50_000;
/** So many lines are read at once: a few hundredths of a second. */
const PAGE = 1_000;
/** So many entries of one device go into one commit while others wait. */
const SHARE = 50;

/**
 * One grading, open at this hub: takes entries (`Admission`), keeps them, knows what each viewer is sent (`Published`), and forgets whom it is told to
 * (`Forgetting`). What is admitted may run ahead of the disk; what is published never does.
 */
export class GradingRoom {
  readonly grading: GradingId;
  readonly #store: ScorebookStore;
  readonly #settings: Required<RoomSettings>;
  readonly #erasedBefore: ReadonlySet<string>;
  readonly #commits: GroupCommit<Job, Handed>;
  readonly #sides = new SideShelf(testSides);
  readonly #published: Published<Scorebook, Role>;
  readonly #coverage = new CoverageBoard();
  readonly #admission: Admission;
  readonly #forgetting: Forgetting;
  readonly #listeners = new Set<NewsListener>();
  /** Why nothing more is taken. */
  #damage: FaultError | undefined;
  #isOpened = false;
  #callOffWait: (() => void) | undefined;
  /** Chiefs' tablets that have come and had nothing of what was lost, and whose they are. */
  readonly #chiefsBehind = new Map<DeviceId, PersonId>();

  private constructor(
    grading: GradingId,
    store: ScorebookStore,
    hub: string,
    settings: Required<RoomSettings>,
  ) {
    this.grading = grading;
    this.#store = store;
    this.#settings = settings;
    const { clock } = settings;
    const erasedBefore = new Set(settings.erasedBefore(grading));
    this.#erasedBefore = erasedBefore;
    this.#published = new Published(grading, hub, testReaders);
    this.#admission = new Admission(grading, this.#sides, { ...settings, erasedBefore });
    const erased = () => this.book.erased;
    const onUnswept = (trouble: Fault) => this.#hear({ trouble });
    const itsSettings = { ...settings, erasedBefore, onUnswept };
    this.#forgetting = new Forgetting(grading, store, this.#sides, erased, itsSettings);
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
      lostPlans: noLostPlans,
      ...settings,
    });
    // A long book is read by the page, so that other halls and lines are heard between.
    for (let page = await room.#next(PAGE); page.length > 0; page = await room.#next(PAGE)) {
      for (const stored of page) {
        room.#admission.enter(stored.entry);
        room.#publish(stored);
      }
      await new Promise<void>((go) => void room.#settings.clock.after(0, go));
    }
    for (const side of await store.sides(grading)) room.#sides.take(side);
    await room.#lookWhatCameAgain();
    if (await room.#settings.lostPlans.isLost(grading)) await room.#admission.planWasLost();
    // A hub that was killed between the entry and the erasing does it now.
    await room.#forgetting.forget();
    room.#isOpened = true;
    // An erasing that waits was told of already.
    if (room.trouble && room.trouble !== room.erasedWaits) room.#settings.onTrouble(room.trouble);
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
    const markedOn = locksMarkedOn(entries);
    if (entries.length <= SHARE) return this.#commits.add({ author, entries, sides, markedOn });
    const shares = Array.from({ length: Math.ceil(entries.length / SHARE) }, (_, index) =>
      this.#commits.add({
        author,
        entries: entries.slice(index * SHARE, (index + 1) * SHARE),
        sides,
        markedOn,
      }),
    );
    return Promise.all(shares).then((answers) => ({
      kept: answers.flatMap(({ kept }) => kept),
      refused: answers.flatMap(({ refused }) => refused),
    }));
  }
  /** For lines that are on the disk; undefined where this hub has no key. */
  receiptsFor(ids: readonly EntryId[]): string[] | undefined {
    const { box } = this.#settings;
    return box && ids.map((id) => box.receiptFor(this.book.entry(id) as AnyEntry));
  }
  flush(): Promise<void> {
    return this.#commits.flush();
  }
  /** Why somebody whom the chief had erased is on the disk still; undefined where nobody is. */
  get erasedWaits(): Fault | undefined {
    return this.#forgetting.waits;
  }
  /** Why bytes of whom the chief had erased have to stay on the disk. */
  get unswept(): Fault | undefined {
    return this.#forgetting.unswept;
  }
  /** Tries nothing again, and waits for nobody. */
  close(): void {
    this.#callOffWait?.();
    this.#forgetting.close();
  }
  /** Takes up what others wrote to the store since, such as another hub process on the same database. */
  async refresh(): Promise<void> {
    await this.#commits.add({ author: nobody, entries: [], sides: [], markedOn: new Set() });
  }

  feedId(viewer: Viewer): string {
    return this.#published.feedId(viewer);
  }
  feed(viewer: Viewer): Feed<Role> {
    return this.#published.feed(viewer);
  }
  /** The link of the chain at a place of a feed and, of a hub with a key, its own code for that place; undefined where there is no line. */
  bookmarkAt(viewer: Viewer, cursor: number): string | undefined {
    const link = this.feed(viewer).linkAt(cursor);
    const { box } = this.#settings;
    const code = link && box?.bookmarkOf({ feed: this.feedId(viewer), cursor, link });
    return code ? `${link}.${code}` : link;
  }
  /** Whether a tablet has read this feed in a book that this hub has lost. */
  hasLost(viewer: Viewer, { link, ...read }: ReadSoFar): boolean {
    return this.#published.hasLost(viewer, { ...read, link: link?.split(".")[0] });
  }
  /**
   * Looks whether somebody else wrote on; where nobody did, what others than the chief bring waits. A cursor that anybody may make up is believed of a chief;
   * of others with the code that this hub, before it was put back, gave for it.
   */
  async lookForLost(viewer: Viewer, read: ReadSoFar): Promise<void> {
    if (!this.hasLost(viewer, read)) return;
    const [link = "", code] = read.link?.split(".") ?? [];
    const { feed = "", cursor } = read;
    const isOurWord = this.#settings.box?.bookmarkOf({ feed, cursor, link }) === code;
    if (!isChief(viewer) && !isOurWord) return;
    await this.refresh();
    if (!this.hasLost(viewer, read)) return;
    await this.#admission.planWasLost();
    if (this.#chiefsBehind.size > 0) this.#waitForAnother();
  }
  /** Whether this hub was put back from an older copy, and that device has not handed in all it had since. */
  isPutBackFor(device: DeviceId): boolean {
    return this.#admission.isPutBackFor(device);
  }
  /**
   * A tablet has handed in all that it had. One of a chief that has nothing of the test, or of what is lost, gives another time to come first. Resolves when
   * other hubs may know.
   *
   * @param behind  of a chief's tablet that had read no further than this book goes, and brought nothing that was lost: whose it is, and on which other
   *   tablets they are in
   */
  async hasCome({
    device,
    isChief,
    isNew,
    behind,
  }: {
    device: DeviceId;
    isChief: boolean;
    isNew: boolean;
    behind?: { person: PersonId; alsoIn: readonly DeviceId[] } | undefined;
  }): Promise<void> {
    this.#admission.hasCome(device);
    if (!isChief) return;
    if (behind) this.#chiefsBehind.set(device, behind.person);
    const mayAnotherHaveIt = behind !== undefined && this.#isAnotherToCome(behind.alsoIn);
    // Another hub may wait, of which this one has not heard yet.
    if (isNew) await this.#look();
    if ((isNew || mayAnotherHaveIt) && this.#admission.isChiefAwaited) this.#waitForAnother();
    else if (!mayAnotherHaveIt) await this.#chiefHasCome();
  }
  #isAnotherToCome(alsoIn: readonly DeviceId[]): boolean {
    if (alsoIn.some((device) => !this.#chiefsBehind.has(device))) return true;
    const behind = new Set(this.#chiefsBehind.values());
    const seated = this.book.plan.seats.filter(isChief).map(({ person }) => person);
    const opener = openerIn(this.book.entries());
    return [...seated, ...(opener ? [opener] : [])].some((one) => !behind.has(one));
  }
  #waitForAnother(): void {
    this.#callOffWait ??= this.#settings.clock.after(NEW_CHIEF_MS, () => void this.#chiefHasCome());
  }
  #chiefHasCome(): Promise<void> {
    this.#admission.chiefHasCome();
    return this.#look();
  }
  /** Where the store is away it is looked again with the next commit. */
  #look(): Promise<void> {
    return this.refresh().catch(() => undefined);
  }
  /** The last line this hub knows of. */
  get last(): StoredEntry | undefined {
    return this.#published.last;
  }
  /** The newest line at which no mark was closed. */
  get lastUnsealed(): StoredEntry | undefined {
    return this.#published.lastUnsealed;
  }
  /** The last line's place. */
  get upTo(): number {
    return this.#published.upTo;
  }
  /** Which numbers of a device's entries are on the disk, count by count. */
  holds(device: DeviceId): Map<CountId, Run[]> {
    return this.#published.holds(device);
  }
  /** The book as it is on the disk. */
  get book(): Scorebook {
    return this.#published.book;
  }
  /** The highest logical time there is: the book's, or what more than one liar has heard. */
  get lamport(): number {
    return Math.max(this.book.lamport, this.#admission.believed);
  }
  /** What a device says it has heard at most. */
  hasHeard(who: Writer, lamport: number): void {
    this.#admission.hasHeard(who, lamport, this.book.lamport);
  }
  wasShouted(lamport: number): void {
    this.#admission.wasShouted(lamport);
  }
  /** What is wrong with this test as it lies on the disk, or why somebody who was erased is on it still. */
  get trouble(): Fault | undefined {
    return (
      this.#damage?.fault ??
      this.#sides.trouble(this.grading, this.#erasedBefore) ??
      this.erasedWaits ??
      this.unswept
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
    await this.#admission.lookForChief(() => this.#readOn());
    if (this.#settings.lostPlans.isShared && this.#admission.isPutBack)
      await this.#lookWhatCameAgain();
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
  /** Here before this hub was started, or at another hub on the store. */
  async #lookWhatCameAgain(): Promise<void> {
    this.#admission.cameAgain(await this.#settings.lostPlans.cameAgain(this.grading));
  }
  /** Where one job cannot be decided, what was decided before it is on no disk, and must not count as known when the jobs are tried one by one. */
  #decide(jobs: readonly Job[]): Decision {
    try {
      return this.#admission.decide(jobs);
    } catch (error) {
      this.#rewind();
      throw error;
    }
  }

  async #write(first: Decision, jobs: readonly Job[]): Promise<Handed[]> {
    let decision = first;
    let appended: Appended;
    try {
      const again = this.#admission.decidedAgain(first.entries);
      // Before anybody can read them: another hub is not to take them for what was decided anew.
      if (again.length > 0) await this.#settings.lostPlans.noteAgain(this.grading, again);
      appended = await this.#store.append(this.grading, first.entries, first.sides, {
        place: this.upTo,
        link: this.last?.chain,
        decideAgain: (lines, sides) => {
          this.#rewind();
          this.#takeUp(lines, sides);
          decision = this.#admission.decide(jobs);
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
    const isNext = added[0]?.seq === this.upTo + 1;
    if (isNext && added.length === entries.length) this.#tell(added);
    else {
      await this.#readOn();
      this.#rewind(true);
    }
    const last = added.at(-1);
    if (last) this.#settings.onWrote(this.grading, last.seq);
    await this.#forgetting.forget();
    return answers;
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
    if (!this.#damage && this.#isOpened) this.#settings.onTrouble(error.fault);
    this.#damage ??= error;
    return true;
  }

  /** Somebody else may have written to the store: takes up what is new there. @returns whether anything was. */
  async #readOn(): Promise<boolean> {
    const lines = await this.#next();
    if (lines.length === 0) return false;
    this.#takeUp(lines, await this.#store.sides(this.grading));
    await this.#forgetting.forget();
    return true;
  }
  #takeUp(lines: readonly StoredEntry[], sides: readonly SideRecord[]): void {
    for (const side of sides) this.#sides.take(side);
    for (const { entry } of lines) this.#admission.enter(entry);
    this.#tell(lines);
  }

  #tell(lines: readonly StoredEntry[]): void {
    const news = lines.map((stored) => this.#publish(stored));
    const coverage = {
      work: news.flatMap(({ work }) => work),
      calls: news.flatMap(({ calls }) => calls),
    };
    const isTurn = lines.some(({ entry: { kind } }) => kind === "locked" || kind === "closed");
    const turn = isTurn && this.lastUnsealed === this.last ? this.last : undefined;
    this.#hear({ coverage, turn });
    this.#settings.onStored(lines);
  }
  #hear({ coverage = { work: [], calls: [] }, turn, trouble }: Partial<RoomNews>): void {
    for (const listener of this.#listeners) listener({ coverage, turn, trouble });
  }
  /** What the disk has becomes visible. */
  #publish(stored: StoredEntry): CoverageNews {
    this.#admission.wasKept(stored);
    this.#sides.note(stored.entry);
    this.#published.add(stored);
    return this.#coverage.note(this.book, stored.entry);
  }
  #rewind(isTold = false): void {
    this.#admission.rewind(this.#published.lines(), isTold);
  }
}
