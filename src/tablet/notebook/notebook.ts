import type { AnyBook } from "../../book/any-book.ts";
import type { AnyEntry, EntryOfKind } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { EntryId, SideRecordId } from "../../book/identity.ts";
import { lastOf } from "../../book/last-of.ts";
import type { AnyBodies, PenOf } from "../../book/pen.ts";
import type { SideRecord } from "../../book/side-record.ts";
import { type Clock, platformClock } from "../../ports/clock.ts";
import type { LinkState } from "../../ports/hub-link.ts";
import type { Pass, TabletStore } from "../../ports/tablet-store.ts";
import type { BookRules } from "./book-rules.ts";
import { Changes } from "./changes.ts";
import { HeardAnew } from "./heard-anew.ts";
import { Listeners } from "./listeners.ts";
import { Outbox } from "./outbox.ts";
import { type Counters, countersIn, OwnLines } from "./own-lines.ts";
import { SideRecords } from "./side-records.ts";
import { Standing } from "./standing.ts";
import { readUnread } from "./unread-lines.ts";

export interface NotebookSettings {
  store: TabletStore;
  pass: Pass;
  makeId: () => string;
  nowMs: () => number;
  clock?: Clock;
}

/** A screen that has drawn its own write waits this long at most for the disk before it hears of it. Milliseconds. */
const DRAWN_MS = 100;
/** What nobody waits to see is told together. Milliseconds. */
const SOON_MS = 50;

/**
 * One book on this device: folded, what this person writes into it, and how far each entry has come.
 *
 * A write shows at once and is *kept* only after the disk says so (`isKept`): screens show the difference.
 */
export class NotebookOf<
  Book extends AnyBook,
  Bodies extends AnyBodies<Bodies>,
  News extends object,
> {
  readonly rules: BookRules<Book, Bodies, News>;
  readonly store: TabletStore;
  readonly clock: Clock;
  link: LinkState | "none" = "none";
  news: News;
  /** Lines of this device's feed heard so far, and how many there were at the welcome; undefined once it has caught up. */
  catchingUp: { heard: number; of: number } | undefined;
  /** Nothing of this book was on the device when it was opened, and the first catching up is not over. */
  isNew = false;
  /** The hub's last word, when it closed the line. */
  farewell: Fault | undefined;
  /** How far this device's lines have come on their way to a hub. */
  readonly outbox: Outbox<Book>;
  /** What a hub that is there has not said. */
  readonly heardAnew: HeardAnew;
  readonly #settings: NotebookSettings;
  readonly #own: OwnLines<Bodies>;
  readonly #standing: Standing<Book>;
  readonly #sides: SideRecords;
  readonly #changes: Changes;
  #pass: Pass;
  readonly #whenKept = new Listeners<[AnyEntry[], SideRecord[]]>();
  readonly #whenWritten = new Listeners<[AnyEntry]>();

  private constructor(
    rules: BookRules<Book, Bodies, News>,
    settings: NotebookSettings,
    counters: Counters,
  ) {
    const { store, pass, makeId, nowMs, clock = platformClock } = settings;
    const book = () => this.book;
    this.rules = rules;
    this.news = rules.noNews;
    this.#settings = settings;
    this.store = store;
    this.clock = clock;
    this.#pass = pass;
    this.#changes = new Changes(clock);
    this.#sides = new SideRecords(clock, (about) => store.erase(pass.grading, about));
    this.heardAnew = new HeardAnew(pass.lost, () => this.#standing.hasLost());
    this.#standing = new Standing(
      rules.newBook,
      (id) => this.outbox.isUntaken(id) || this.heardAnew.isLost(id),
      () => this.outbox.looksAgain(),
    );
    this.outbox = new Outbox({
      rules,
      book,
      note: (refusal) => void store.refused(refusal).catch(() => undefined),
      aside: () => this.#pass.aside ?? [],
      leftBook: () => this.#standing.hasLost(),
      hear: (moment) => this.hearsOf(moment),
    });
    this.#own = new OwnLines(
      {
        store,
        clock,
        pass: () => this.#pass,
        newPen: (at) => {
          const { grading, person = "nobody" as NonNullable<Pass["person"]>, device } = this.#pass;
          return rules.newPen({ grading, person, device, ...at, makeId, nowMs }, book);
        },
        isErased: (about) => this.book.erased.has(about),
        onDisk: (lines) => this.#standing.buildFrom(lines.map(({ entry }) => entry)),
        renumbered: (before, now) => {
          this.book.add(now);
          this.outbox.owesNot(before);
          this.outbox.owes(now.id);
        },
        kept: (entries, sides) => this.offers(entries, sides),
        changed: () => this.#changes.tell(),
      },
      counters,
    );
  }

  /** Reads everything this device holds of the book. */
  static async open<Book extends AnyBook, Bodies extends AnyBodies<Bodies>, News extends object>(
    rules: BookRules<Book, Bodies, News>,
    given: NotebookSettings,
  ): Promise<NotebookOf<Book, Bodies, News>> {
    const { store } = given;
    const pass = await readUnread(rules.readEntry, store, given.pass);
    const settings = { ...given, pass };
    // Asked for together: the disk answers all three in the time of one.
    const [sides, lines, outbox] = await Promise.all([
      store.sides(pass.grading),
      store.read(pass.grading, 0),
      store.outbox(pass.grading),
    ]);
    const notebook = new NotebookOf(rules, settings, countersIn(lines, pass.device));
    notebook.#sides.add(sides);
    notebook.#standing.buildFrom(lines.map(({ entry }) => entry));
    notebook.isNew = notebook.book.size === 0;
    for (const { id } of outbox.entries) notebook.outbox.owes(id);
    for (const refusal of outbox.refusals) notebook.outbox.remembers(refusal);
    // A device that was switched off between hearing and forgetting forgets now.
    notebook.#forget();
    return notebook;
  }

  /** What stands, as far as this device knows. */
  get book(): Book {
    return this.#standing.book;
  }
  get sides(): Map<SideRecordId, SideRecord> {
    return this.#sides.byId;
  }
  get pass(): Pass {
    return this.#pass;
  }
  /** This device's own clock, which may be wrong. */
  nowMs(): number {
    return this.#settings.nowMs();
  }
  /** The highest logical time this device has written or heard of. */
  get lamport(): number {
    return Math.max(this.#own.pen.lamport, this.book.lamport);
  }

  // ── whoever draws ────────────────────────────────────────────────────────────
  get version(): number {
    return this.#changes.version;
  }
  subscribe = (listener: () => void): (() => void) => this.#changes.subscribe(listener);
  snapshot = (): number => this.#changes.version;
  /** Tells what has just reached the disk, so that it can be sent. */
  onKept(listener: (entries: AnyEntry[], sides: SideRecord[]) => void): () => void {
    return this.#whenKept.add(listener);
  }
  /** Says that these can be sent. */
  offers(entries: AnyEntry[], sides: SideRecord[]): void {
    this.#whenKept.tell(entries, sides);
  }
  /** Tells what is written before the disk is asked: a full one must not keep a shout from anybody. */
  onWritten(listener: (entry: AnyEntry) => void): () => void {
    return this.#whenWritten.add(listener);
  }

  // ── what this person writes ──────────────────────────────────────────────────
  /** Why the disk does not keep; undefined while all is well. */
  get fault(): Fault | undefined {
    return this.#own.fault;
  }
  get unkept(): number {
    return this.#own.unkept;
  }
  isKept(id: EntryId): boolean {
    return this.#own.isKept(id);
  }
  /**
   * Writes one entry; resolves when it is on this device's disk, as it stands there: another tab may have taken its number meanwhile, and its id with it.
   *
   * @param more.drawn  the screen shows it already: listeners hear when the disk has answered, or after a tenth of a second
   */
  async write<Kind extends keyof Bodies & string>(
    kind: Kind,
    body: Bodies[Kind],
    more: { replaces?: readonly EntryId[]; sides?: readonly SideRecord[]; drawn?: boolean } = {},
  ): Promise<EntryOfKind<Kind, Bodies[Kind]>> {
    const one = this.#enter(this.#own.pen.write(kind, body, more.replaces), more.sides);
    await this.#kept(more.drawn);
    return one.entry as EntryOfKind<Kind, Bodies[Kind]>;
  }
  /** Writes what one act says of several: an entry each, all of them on the disk, or none. */
  async writeTogether(makes: readonly ((pen: PenOf<Bodies>) => AnyEntry)[]): Promise<void> {
    for (const make of makes) this.#enter(make(this.#own.pen));
    await this.#kept();
  }
  /** A name for entries that are taken back as one. */
  newBatch(): string {
    return this.#settings.makeId();
  }

  #enter(entry: AnyEntry, withSides: readonly SideRecord[] = []): { entry: AnyEntry } {
    const sides = withSides.filter(({ about }) => !this.book.erased.has(about));
    this.#sides.add(sides);
    this.book.add(entry);
    this.#forget();
    const one = { entry, sides };
    this.#own.add(one);
    this.outbox.owes(entry.id);
    this.#whenWritten.tell(entry);
    return one;
  }
  async #kept(isDrawn = false): Promise<void> {
    // The disk first, then the screen: the one works while the other is drawn.
    const keeping = this.#own.keep();
    if (isDrawn) this.#changes.tellWithin(DRAWN_MS);
    else this.#changes.tell();
    await keeping;
  }
  #forget(): void {
    this.#sides.forget(this.book.erased);
  }

  // ── what this person has read ────────────────────────────────────────────────
  /** What the hub did not take was read, and needs nothing more. It stays on this disk, is still offered, and can be shown again. */
  putAside(isAside: boolean): Promise<void> {
    return this.notes(({ aside: _, ...shown }) =>
      isAside ? { ...shown, aside: [...this.outbox.refusals.keys()] } : shown,
    );
  }
  /** In the pass as the disk has it: another tab may have noted something meanwhile. */
  async notes(noted: (pass: Pass) => Pass): Promise<void> {
    this.#pass = noted((await this.store.pass(this.#pass.grading)) ?? this.#pass);
    await this.store.keepPass(this.#pass);
    this.#changes.tell();
  }

  // ── from the hub, by way of the uplink ───────────────────────────────────────
  /** Entries that are on this device's disk already. */
  take(entries: readonly AnyEntry[], sides: readonly SideRecord[]): void {
    this.#sides.add(sides);
    for (const entry of entries) {
      this.heardAnew.hears(entry.id);
      if (!this.outbox.isUntaken(entry.id)) this.book.add(entry);
      this.hearsOf(entry.lamport);
    }
    this.#forget();
    this.#changes.tell();
  }
  /** What this device writes from now on is newer than this logical time. */
  hearsOf(moment: number): void {
    this.#own.pen.hear(moment);
  }
  /** Kept on the disk already: lines that only a newer version of the app can read. */
  couldNotRead(unread: readonly unknown[]): void {
    this.#pass = { ...this.#pass, unread };
    this.#changes.tell();
  }
  /** Where this book is served; the link asks before every dial. */
  knowsHubs(hubs: readonly string[]): void {
    this.#pass = { ...this.#pass, hubs };
  }
  tookRoles(pass: Pass): void {
    const isNewPerson = pass.person !== this.#pass.person;
    this.#pass = pass;
    if (isNewPerson) {
      const { lamport } = this.book;
      this.#own.handedOver({ last: lastOf(this.book.entries(), pass.device), lamport });
    }
    this.#changes.tell();
  }
  /** Takes from the disk what this book has missed: a write whose answer was lost is there all the same. */
  async readAgain(): Promise<void> {
    const { grading } = this.#pass;
    const sides = await this.store.sides(grading);
    const lines = await this.store.read(grading, 0);
    const unsent = (await this.store.outbox(grading)).entries;
    this.heardAnew.lostAre((await this.store.pass(grading))?.lost);
    this.outbox.owesOnly([...unsent.map(({ id }) => id), ...this.#own.unkeptIds()]);
    this.take(
      lines.flatMap(({ entry }) => (this.heardAnew.isLost(entry.id) ? [] : entry)),
      sides,
    );
  }
  acknowledged(ids: readonly EntryId[]): void {
    for (const entry of this.outbox.acknowledges(ids)) this.book.add(entry);
    this.outbox.looksAgain();
    this.tellsSoon();
  }
  wasRefused(id: EntryId, fault: Fault): void {
    this.outbox.refuses(id, fault);
    this.tellsSoon();
  }
  tellsSoon(): void {
    this.#changes.tellWithin(SOON_MS);
  }
  linkIs(state: LinkState | "none"): void {
    if (this.link === state) return;
    this.link = state;
    this.#changes.tell();
  }
  heardNews(news: Partial<News>): void {
    this.news = { ...this.news, ...news };
    this.#changes.tell();
  }
  heardUpTo(cursor: number, of = this.catchingUp?.of ?? 0): void {
    this.catchingUp = cursor < of ? { heard: cursor, of } : undefined;
    if (!this.catchingUp) {
      this.isNew = false;
      this.heardAnew.ends();
    }
    this.#changes.tell();
  }
  /** @param fault  undefined once a hub has let this device in again. */
  saidFarewell(fault: Fault | undefined): void {
    if (this.farewell === fault) return;
    this.farewell = fault;
    this.#changes.tell();
  }
}
