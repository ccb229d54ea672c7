import type { AnyBook } from "../../book/any-book.ts";
import type { AnyEntry } from "../../book/entry.ts";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { CountId, DeviceId, EntryId, GradingId, SideRecordId } from "../../book/identity.ts";
import type { Readers, ViewerAs } from "../../book/readers.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import type { Feed } from "../../line/feed.ts";
import type { Run } from "../../line/runs.ts";
import { platformClock } from "../../ports/clock.ts";
import type { Appended, ScorebookStore } from "../../ports/scorebook-store.ts";
import { Admission, type Decision, nameOf } from "./admission.ts";
import { Forgetting, type ForgettingSettings } from "./forgetting.ts";
import { GroupCommit } from "./group-commit.ts";
import type { AnyAuthor, Handed, Job } from "./handed.ts";
import type { Intake } from "./intake.ts";
import type { OwnWord } from "./own-word.ts";
import { Published, type ReadSoFar } from "./published.ts";
import { SideShelf } from "./side-shelf.ts";

/** All that a room is to be told of its book. */
export interface RoomRules<Book extends AnyBook, Role extends string, Author extends AnyAuthor> {
  readers: Readers<Book, Role>;
  intake: Intake<Book, Author>;
  /** Told of each line as it becomes visible, with the book as it is then. */
  onLine?: (book: Book, stored: StoredEntry) => void;
}

export interface RoomSettings
  extends Partial<Omit<ForgettingSettings, "erasedBefore" | "onTrouble" | "onUnswept">> {
  /** Told of every group that has come to the disk here. */
  onStored?: (lines: readonly StoredEntry[]) => void;
  /** Told where this hub's own writing has taken the book, so that others on the same store read on. */
  onWrote?: (grading: GradingId, upTo: number) => void;
  /** Told of a book that is damaged on the disk, or whose names and texts are. */
  onTrouble?: (fault: Fault) => void;
  /** So many entries are taken of one device, beside what is taken of anyone. */
  mostADevice?: number;
  box?: OwnWord | undefined;
  /** Whom the hub knows to be erased besides the book: a restored book may be older than that. */
  erasedBefore?: (grading: GradingId) => Iterable<string>;
}
/** Told after each commit. */
type NewsListener = (news: RoomNews) => void;
interface RoomNews {
  /** What has become visible. */
  lines: readonly StoredEntry[];
  /** What whoever answers for the book is to hear by and by. */
  trouble: Fault | undefined;
}

/** Four hours at a tap every two seconds are 7,200 lines. A device that hands in so many is no hand, and may not fill the disk. */
const MOST_A_DEVICE = 50_000;
/** So many lines are read at once: a few hundredths of a second. */
const PAGE = 1_000;
/** So many entries of one device go into one commit while others wait. */
const SHARE = 50;

/**
 * One book, open at this hub: takes entries (`Admission`), keeps them, knows what each viewer is sent (`Published`), and forgets whom it is told to
 * (`Forgetting`). What is admitted may run ahead of the disk; what is published never does. Which book it is, its rules say.
 */
export class Room<Book extends AnyBook, Role extends string, Author extends AnyAuthor> {
  readonly grading: GradingId;
  readonly #store: ScorebookStore;
  readonly #rules: RoomRules<Book, Role, Author>;
  readonly #settings: Required<RoomSettings>;
  readonly #erasedBefore: ReadonlySet<string>;
  readonly #commits: GroupCommit<Job<Author>, Handed>;
  readonly #sides: SideShelf;
  readonly #published: Published<Book, Role>;
  readonly #admission: Admission<Book, Author>;
  readonly #forgetting: Forgetting;
  readonly #listeners = new Set<NewsListener>();
  /** Why nothing more is taken. */
  #damage: FaultError | undefined;
  #isOpened = false;

  private constructor(
    grading: GradingId,
    store: ScorebookStore,
    hub: string,
    rules: RoomRules<Book, Role, Author>,
    settings: Required<RoomSettings>,
  ) {
    this.grading = grading;
    this.#store = store;
    this.#rules = rules;
    this.#settings = settings;
    const { clock } = settings;
    const { readers, intake } = rules;
    const erasedBefore = new Set(settings.erasedBefore(grading));
    this.#erasedBefore = erasedBefore;
    this.#sides = new SideShelf(intake.lines.sides);
    this.#published = new Published(grading, hub, readers);
    const itsSettings = { ...settings, erasedBefore };
    const emptyBook = () => readers.emptyBook();
    this.#admission = new Admission(grading, this.#sides, emptyBook, intake, itsSettings);
    this.#forgetting = new Forgetting(grading, store, this.#sides, () => this.book.erased, {
      ...itsSettings,
      onUnswept: (trouble) => this.#hear({ lines: [], trouble }),
    });
    this.#commits = new GroupCommit((jobs) => this.#commit(jobs), {
      sourceOf: ({ author }) => author?.device,
      weigh: ({ entries }) => entries.length,
      share: SHARE,
      clock,
    });
  }

  /** Reads the book from the store. */
  static async open<Book extends AnyBook, Role extends string, Author extends AnyAuthor>(
    grading: GradingId,
    store: ScorebookStore,
    hub: string,
    rules: RoomRules<Book, Role, Author>,
    settings: RoomSettings = {},
  ): Promise<Room<Book, Role, Author>> {
    const room = new Room(grading, store, hub, rules, {
      clock: platformClock,
      onErasing: () => undefined,
      onErased: () => undefined,
      onStored: () => undefined,
      onWrote: () => undefined,
      onTrouble: () => undefined,
      erasedBefore: () => [],
      mostADevice: MOST_A_DEVICE,
      box: undefined,
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
    await rules.intake.opened?.();
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
  /** For lines that are on the disk; undefined where this hub has no key. */
  receiptsFor(ids: readonly EntryId[]): string[] | undefined {
    const { box } = this.#settings;
    return box && ids.map((id) => box.receiptFor(this.book.entry(id) as AnyEntry));
  }
  flush(): Promise<void> {
    return this.#commits.flush();
  }
  /** Why somebody who was erased is on the disk still; undefined where nobody is. */
  get erasedWaits(): Fault | undefined {
    return this.#forgetting.waits;
  }
  /** Why bytes of whom was erased have to stay on the disk. */
  get unswept(): Fault | undefined {
    return this.#forgetting.unswept;
  }
  /** Tries nothing again, and waits for nobody. */
  close(): void {
    this.#forgetting.close();
  }
  /** Takes up what others wrote to the store since, such as another hub process on the same database. */
  async refresh(): Promise<void> {
    await this.#commits.add({ author: undefined, entries: [], sides: [] });
  }

  feedId(viewer: ViewerAs<Role>): string {
    return this.#published.feedId(viewer);
  }
  feed(viewer: ViewerAs<Role>): Feed<Role> {
    return this.#published.feed(viewer);
  }
  /** The link of the chain at a place of a feed and, of a hub with a key, its own code for that place; undefined where there is no line. */
  bookmarkAt(viewer: ViewerAs<Role>, cursor: number): string | undefined {
    const link = this.feed(viewer).linkAt(cursor);
    const { box } = this.#settings;
    const code = link && box?.bookmarkOf({ feed: this.feedId(viewer), cursor, link });
    return code ? `${link}.${code}` : link;
  }
  /** Whether this hub, before it was put back, gave the code for that place. */
  isOwnBookmark({ feed = "", cursor, link: bookmark }: ReadSoFar): boolean {
    const [link = "", code] = bookmark?.split(".") ?? [];
    return this.#settings.box?.bookmarkOf({ feed, cursor, link }) === code;
  }
  /** Whether a tablet has read this feed in a book that this hub has lost. */
  hasLost(viewer: ViewerAs<Role>, { link, ...read }: ReadSoFar): boolean {
    return this.#published.hasLost(viewer, { ...read, link: link?.split(".")[0] });
  }
  /** The last line this hub knows of. */
  get last(): StoredEntry | undefined {
    return this.#published.last;
  }
  /** The newest line at which nothing was closed. */
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
  get book(): Book {
    return this.#published.book;
  }
  /** What is wrong with this book as it lies on the disk, or why somebody who was erased is on it still. */
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
  onNews(listener: NewsListener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  async #commit(jobs: Job<Author>[]): Promise<Handed[]> {
    await this.#rules.intake.beforeCommit?.(() => this.#readOn());
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
  /** Where one job cannot be decided, what was decided before it is on no disk, and must not count as known when the jobs are tried one by one. */
  #decide(jobs: readonly Job<Author>[]): Decision<Author> {
    try {
      return this.#admission.decide(jobs);
    } catch (error) {
      this.#rewind();
      throw error;
    }
  }

  async #write(first: Decision<Author>, jobs: readonly Job<Author>[]): Promise<Handed[]> {
    let decision = first;
    let appended: Appended;
    try {
      await this.#rules.intake.beforeWriting?.(first.entries);
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
    for (const stored of added) byId.get(stored.entry.id)?.author?.wrote?.(stored);
    for (const id of [...added.map(({ entry }) => entry.id), ...known]) {
      const one = byId.get(id);
      // What the hub wrote itself is nobody's to hear of.
      if (one?.author) answers[one.job]?.kept.push(id);
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
    for (const stored of lines) this.#publish(stored);
    this.#hear({ lines, trouble: undefined });
    this.#settings.onStored(lines);
  }
  #hear(news: RoomNews): void {
    for (const listener of this.#listeners) listener(news);
  }
  /** What the disk has becomes visible. */
  #publish(stored: StoredEntry): void {
    this.#admission.wasKept(stored);
    this.#sides.note(stored.entry);
    this.#published.add(stored);
    this.#rules.onLine?.(this.book, stored);
  }
  #rewind(isTold = false): void {
    this.#admission.rewind(this.#published.lines(), isTold);
  }
}
