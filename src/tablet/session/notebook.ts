import type { EntryKind } from "../../belt-test/kinds/all-kinds.ts";
import { kindsThatAre } from "../../belt-test/kinds/all-kinds.ts";
import type { EntryBody, EntryOf } from "../../belt-test/scorebook/entry.ts";
import { isHeld } from "../../belt-test/scorebook/held-first.ts";
import type { Pen } from "../../belt-test/scorebook/pen.ts";
import { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { deviceOf } from "../../book/counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { EntryId, SideRecordId } from "../../book/identity.ts";
import { lastOf } from "../../book/last-of.ts";
import type { SideRecord } from "../../book/side-record.ts";
import { withShout } from "../../line/floor.ts";
import { type Holds, isHeldIn, owedAgain } from "../../line/owed-again.ts";
import type { Floor } from "../../line/protocol.ts";
import { type Clock, platformClock } from "../../ports/clock.ts";
import type { LinkState } from "../../ports/hub-link.ts";
import type { Pass, TabletStore } from "../../ports/tablet-store.ts";
import { Changes } from "./changes.ts";
import { type HallNews, NO_NEWS } from "./hall-news.ts";
import { HeardAnew } from "./heard-anew.ts";
import { Outbox } from "./outbox.ts";
import { type Counters, countersIn, OwnLines } from "./own-lines.ts";
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
/** An erasing that the disk refused is asked of it again after this long. Milliseconds. */
const AGAIN_MS = 5000;
/** What nobody waits to see is told together. Milliseconds. */
const SOON_MS = 50;

/**
 * One grading on this device: the folded book, what this person writes into it, and how far each entry has come.
 *
 * A write shows at once and is *kept* only after the disk says so (`isKept`): screens show the difference.
 */
export class Notebook {
  readonly store: TabletStore;
  readonly clock: Clock;
  readonly sides = new Map<SideRecordId, SideRecord>();
  link: LinkState | "none" = "none";
  news: HallNews = NO_NEWS;
  /** Lines of this device's feed heard so far, and how many there were at the welcome; undefined once it has caught up. */
  catchingUp: { heard: number; of: number } | undefined;
  /** Nothing of this grading was on the device when it was opened, and the first catching up is not over. */
  isNew = false;
  /** The hub's last word, when it closed the line. */
  farewell: Fault | undefined;
  /** How far this device's lines have come on their way to a hub. */
  readonly outbox: Outbox;
  readonly #settings: NotebookSettings;
  readonly #own: OwnLines;
  readonly #heardAnew: HeardAnew;
  readonly #changes: Changes;
  #pass: Pass;
  #book = new Scorebook();
  /** Something of the book is untaken, or lost, since it was built. */
  #isStale = false;
  readonly #keptListeners = new Set<(entries: AnyEntry[], sides: SideRecord[]) => void>();
  readonly #shoutListeners = new Set<(entry: AnyEntry) => void>();

  private constructor(settings: NotebookSettings, counters: Counters) {
    const { store, pass, makeId, nowMs, clock = platformClock } = settings;
    this.#settings = settings;
    this.store = store;
    this.clock = clock;
    this.#pass = pass;
    this.#changes = new Changes(clock);
    this.#heardAnew = new HeardAnew(pass.lost);
    this.outbox = new Outbox({
      book: () => this.book,
      note: (refusal) => void store.refused(refusal).catch(() => undefined),
      aside: () => this.#pass.aside ?? [],
      leftBook: () => {
        this.#isStale = true;
      },
      hear: (moment) => this.#own.pen.hear(moment),
    });
    this.#own = new OwnLines(
      {
        ...{ store, clock, makeId, nowMs },
        pass: () => this.#pass,
        rules: () => this.book.plan.rules,
        isErased: (about) => this.book.erased.has(about),
        onDisk: (lines) => this.#buildFrom(lines.map(({ entry }) => entry)),
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

  /** Reads everything this device holds of the grading. */
  static async open(given: NotebookSettings): Promise<Notebook> {
    const { store } = given;
    const pass = await readUnread(store, given.pass);
    const settings = { ...given, pass };
    // Asked for together: the disk answers all three in the time of one.
    const [sides, lines, outbox] = await Promise.all([
      store.sides(pass.grading),
      store.read(pass.grading, 0),
      store.outbox(pass.grading),
    ]);
    const notebook = new Notebook(settings, countersIn(lines, pass.device));
    for (const record of sides) notebook.sides.set(record.id, record);
    notebook.#buildFrom(lines.map(({ entry }) => entry));
    notebook.isNew = notebook.book.size === 0;
    for (const { id } of outbox.entries) notebook.outbox.owes(id);
    for (const refusal of outbox.refusals) notebook.outbox.remembers(refusal);
    // A device that was switched off between hearing and forgetting forgets now.
    notebook.#forget();
    return notebook;
  }

  /** What stands, as far as this device knows. */
  get book(): Scorebook {
    if (this.#isStale) {
      // Once for a whole batch.
      this.#buildFrom([...this.#book.entries()]);
      this.outbox.looksAgain();
    }
    return this.#book;
  }
  /** The book is these lines, but for what was not taken, and for what is lost. */
  #buildFrom(entries: readonly AnyEntry[]): void {
    this.#isStale = false;
    this.#book = new Scorebook();
    for (const entry of entries)
      if (!this.outbox.isUntaken(entry.id) && !this.#heardAnew.isLost(entry.id))
        this.#book.add(entry);
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
    this.#keptListeners.add(listener);
    return () => this.#keptListeners.delete(listener);
  }
  /** Says that these can be sent. */
  offers(entries: AnyEntry[], sides: SideRecord[]): void {
    for (const listener of this.#keptListeners) listener(entries, sides);
  }
  /** Tells of a stop, or that the floor is clear, before the disk is asked: a full one must not keep it from anybody. */
  onShout(listener: (entry: AnyEntry) => void): () => void {
    this.#shoutListeners.add(listener);
    return () => this.#shoutListeners.delete(listener);
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
  async write<Kind extends EntryKind>(
    kind: Kind,
    body: EntryBody<Kind>,
    more: { replaces?: readonly EntryId[]; sides?: readonly SideRecord[]; drawn?: boolean } = {},
  ): Promise<EntryOf<Kind>> {
    const one = this.#enter(this.#own.pen.write(kind, body, more.replaces) as AnyEntry, more.sides);
    await this.#kept(more.drawn);
    return one.entry as EntryOf<Kind>;
  }
  /** Writes what one act says of several children: an entry each, all of them on the disk, or none. */
  async writeTogether(makes: readonly ((pen: Pen) => AnyEntry)[]): Promise<void> {
    for (const make of makes) this.#enter(make(this.#own.pen));
    await this.#kept();
  }
  /** A name for entries that are taken back as one. */
  newBatch(): string {
    return this.#settings.makeId();
  }

  #enter(entry: AnyEntry, withSides: readonly SideRecord[] = []): { entry: AnyEntry } {
    const sides = withSides.filter(({ about }) => !this.book.erased.has(about));
    for (const record of sides) this.sides.set(record.id, record);
    this.book.add(entry);
    this.#forget();
    const one = { entry, sides };
    this.#own.add(one);
    this.outbox.owes(entry.id);
    // A stop is told at once, before any disk is asked.
    if (entry.kind === "stopped" || entry.kind === "floor-cleared")
      for (const listener of this.#shoutListeners) listener(entry);
    return one;
  }
  async #kept(isDrawn = false): Promise<void> {
    // The disk first, then the screen: the one works while the other is drawn.
    const keeping = this.#own.keep();
    if (isDrawn) this.#changes.tellWithin(DRAWN_MS);
    else this.#changes.tell();
    await keeping;
  }

  // ── what this person has read ────────────────────────────────────────────────
  /** What the hub did not take was read, and needs nothing more. It stays on this disk, is still offered, and can be shown again. */
  putAside(isAside: boolean): Promise<void> {
    return this.notes(({ aside: _, ...shown }) =>
      isAside ? { ...shown, aside: this.outbox.refusedIds() } : shown,
    );
  }
  /** In the pass as the disk has it: another tab may have noted something meanwhile. */
  async notes(noted: (pass: Pass) => Pass): Promise<void> {
    this.#pass = noted((await this.store.pass(this.#pass.grading)) ?? this.#pass);
    await this.store.keepPass(this.#pass);
    this.#changes.tell();
  }

  // ── what a hub that is there has not said ────────────────────────────────────
  isLost(id: EntryId): boolean {
    return this.#heardAnew.isLost(id);
  }
  /** These leave the book until the hub says them. @returns all that it has not said */
  loses(ids: readonly EntryId[]): EntryId[] {
    this.#heardAnew.loses(ids);
    this.#isStale = true;
    return this.#heardAnew.missingBut([]);
  }

  // ── whoever was erased ───────────────────────────────────────────────────────
  /** Whoever the chief had erased is nobody here any more either: gone from memory at once, and from the disk as soon as it answers. */
  #forget(): void {
    const { erased } = this.book;
    if (erased.size === 0) return;
    const held = new Set<string>();
    for (const { id, about } of this.sides.values()) {
      if (!erased.has(about)) continue;
      held.add(about);
      this.sides.delete(id);
    }
    for (const about of held) this.#erase(about);
  }
  #erase(about: string): void {
    this.store.erase(this.#pass.grading, about).catch(() => {
      this.clock.after(AGAIN_MS, () => this.#erase(about));
    });
  }

  // ── from the hub, by way of the uplink ───────────────────────────────────────
  /** Entries that are on this device's disk already. */
  take(entries: readonly AnyEntry[], sides: readonly SideRecord[]): void {
    for (const record of sides) this.sides.set(record.id, record);
    for (const entry of entries) {
      this.#heardAnew.hears(entry.id);
      if (!this.outbox.isUntaken(entry.id)) this.book.add(entry);
      this.#own.pen.hear(entry.lamport);
    }
    this.#forget();
    this.#changes.tell();
  }
  /** Kept on the disk already: lines that only a newer version of the app can read. */
  couldNotRead(unread: readonly unknown[]): void {
    this.#pass = { ...this.#pass, unread };
    this.#changes.tell();
  }
  /** Where this test is served; the link asks before every dial. */
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
    // Another tab may have heard that the hub was put back.
    if (!this.#heardAnew.isUnderWay) {
      this.#heardAnew.lostAre((await this.store.pass(grading))?.lost ?? []);
      this.#isStale = true;
    }
    this.outbox.owesOnly([...unsent.map(({ id }) => id), ...this.#own.unkeptIds()]);
    this.take(
      lines.flatMap(({ entry }) => (this.#heardAnew.isLost(entry.id) ? [] : entry)),
      sides,
    );
  }
  /**
   * A hub that was put back from an older copy says everything anew. What this device wrote it hands in itself; a judge's marks of another tablet stay on the
   * glass, so that nobody marks twice.
   *
   * @returns what it has not said yet
   */
  hearsAnew(): EntryId[] {
    const { person, device } = this.#pass;
    const others = [...this.book.entries()].filter(
      (entry) =>
        deviceOf(entry.device) !== device &&
        !(entry.by === person && (untimed.has(entry.kind) || isHeld(entry))),
    );
    this.#heardAnew.begins(others.map(({ id }) => id));
    return this.#heardAnew.missingBut([]);
  }
  /** What it has not said yet when it has said this; undefined where that is nothing new. */
  lostBehind(heard: readonly AnyEntry[]): EntryId[] | undefined {
    return this.#heardAnew.isNews(heard) ? this.#heardAnew.missingBut(heard) : undefined;
  }
  /**
   * Compares what this device has kept with what the hub holds of it; what the hub holds is sent, whoever of this device sent it.
   * @returns own entries that the hub does not have, acknowledged or not, and what the lost hub held at openings among them.
   */
  comparedWith(holds: Holds): AnyEntry[] {
    const taken = this.outbox.untaken().filter((one) => isHeldIn(holds, one));
    this.acknowledged(taken.map(({ id }) => id));
    for (const entry of this.book.entries())
      if (this.isKept(entry.id) && isHeldIn(holds, entry)) this.outbox.owesNot(entry.id);
    return owedAgain(this.book.entries(), this.#pass.device, holds).filter(({ id }) =>
      this.isKept(id),
    );
  }
  /** What waits on the disk now. What was not taken and waits no more has been taken, and another tab was told. */
  outboxIs(entries: readonly AnyEntry[]): void {
    const waiting = new Set(entries.map(({ id }) => id));
    const taken = this.outbox.untaken().filter(({ id }) => !waiting.has(id));
    if (taken.length > 0) this.acknowledged(taken.map(({ id }) => id));
  }
  /** Entries of the outbox: also those of another tab of this device, which the hub will not say to this one. */
  owes(entries: readonly AnyEntry[], sides: readonly SideRecord[]): void {
    for (const { id } of entries) this.outbox.owes(id);
    const ofOthers = entries.filter(({ id }) => !this.book.entry(id));
    if (ofOthers.length > 0) this.take(ofOthers, sides);
    else this.#changes.tellWithin(SOON_MS);
  }
  acknowledged(ids: readonly EntryId[]): void {
    for (const entry of this.outbox.acknowledges(ids)) this.book.add(entry);
    this.outbox.looksAgain();
    this.#changes.tellWithin(SOON_MS);
  }
  wasRefused(id: EntryId, fault: Fault): void {
    this.outbox.refuses(id, fault);
    this.#changes.tellWithin(SOON_MS);
  }
  linkIs(state: LinkState | "none"): void {
    if (this.link === state) return;
    this.link = state;
    this.#changes.tell();
  }
  heardNews(news: Partial<HallNews>): void {
    this.news = { ...this.news, ...news };
    this.#changes.tell();
  }
  /** What this device writes from now on is newer than the shout: also that the floor is clear. */
  heardFloor(floor: Floor): void {
    this.#own.pen.hear(floor.lamport);
    this.heardNews({ floors: withShout(this.book, this.news.floors, floor) });
  }
  heardUpTo(cursor: number, of = this.catchingUp?.of ?? 0): void {
    this.catchingUp = cursor < of ? { heard: cursor, of } : undefined;
    if (!this.catchingUp) {
      this.isNew = false;
      if (this.#heardAnew.ends()) this.#isStale = true;
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

const untimed = kindsThatAre("untimed");
