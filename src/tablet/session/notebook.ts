import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import type { EntryKind } from "../../belt-test/kinds/all-kinds.ts";
import { deviceOf } from "../../belt-test/scorebook/counts.ts";
import {
  type AnyEntry,
  type Entry,
  type EntryBody,
  type EntryOf,
  isKnown,
} from "../../belt-test/scorebook/entry.ts";
import { isHeld } from "../../belt-test/scorebook/held-first.ts";
import { lastOf } from "../../belt-test/scorebook/last-of.ts";
import { type LetIn, letInsToTell } from "../../belt-test/scorebook/let-ins.ts";
import { Pen, type PenSettings, speaking } from "../../belt-test/scorebook/pen.ts";
import { refusalOfBasis } from "../../belt-test/scorebook/refusal-of-basis.ts";
import { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { SideRecord } from "../../belt-test/scorebook/side-record.ts";
import type { StoredEntry } from "../../belt-test/scorebook/stored-entry.ts";
import { isOfVouchingForm, vouchedEntryId } from "../../belt-test/scorebook/vouched-id.ts";
import type { Fault } from "../../book/faults.ts";
import { FaultError } from "../../book/faults.ts";
import type { DeviceId, EntryId, PersonId, SideRecordId } from "../../book/identity.ts";
import { type Holds, isHeldIn, owedAgain } from "../../line/owed-again.ts";
import type {
  Coverage,
  DoneCall,
  DoorQuestion,
  Floor,
  Presence,
  Waiting,
} from "../../line/protocol.ts";
import { type Clock, platformClock } from "../../ports/clock.ts";
import type { LinkState } from "../../ports/hub-link.ts";
import type { Pass, Refusal, TabletStore } from "../../ports/tablet-store.ts";
import { readUnread } from "./unread-lines.ts";

type Counters = Pick<PenSettings, "last" | "lamport">;
export interface NotebookSettings {
  store: TabletStore;
  pass: Pass;
  makeId: () => string;
  nowMs: () => number;
  clock?: Clock;
}

/** A screen that has drawn its own write waits this long at most for the disk before it hears of it. Milliseconds. */
const DRAWN_MS = 100;
/** What the disk refused is asked of it again after this long. Milliseconds. */
const AGAIN_MS = 5000;
/** What nobody waits to see is told together. Milliseconds. */
const SOON_MS = 50;

/** What the hub tells beside entries: heard, shown, forgotten. */
export interface HallNews {
  coverage: ReadonlyMap<string, Coverage>;
  calls: ReadonlyMap<string, DoneCall>;
  presence: readonly Presence[];
  waiting: readonly Waiting[];
  /** Further devices at the door of which this person is asked whether they are theirs. */
  doorQuestions: readonly DoorQuestion[];
  /** The count on the floor of the current call; 0 before the first. */
  count: number;
  /** What was shouted last of the floor, before it was kept; see floor.ts. */
  floor?: Floor;
  /** What is wrong with this test on the hub's disk, as the hub told its chief. */
  damage?: Fault | undefined;
}

/**
 * One grading on this device: the folded book, what this person writes into it, and how far each entry has come.
 *
 * A write shows at once and is *kept* only after the disk says so (`isKept`): screens show the difference.
 * If the disk refuses, the entry stays in memory and in `fault`, and is tried again with every further write and every five seconds.
 */
export class Notebook {
  readonly store: TabletStore;
  readonly sides = new Map<SideRecordId, SideRecord>();
  link: LinkState | "none" = "none";
  news: HallNews = {
    coverage: new Map(),
    calls: new Map(),
    presence: [],
    waiting: [],
    doorQuestions: [],
    count: 0,
  };
  /** Why the disk does not keep; undefined while all is well. */
  fault: Fault | undefined;
  /** Lines of this device's feed heard so far, and how many there were at the welcome; undefined once it has caught up. */
  catchingUp: { heard: number; of: number } | undefined;
  /** Nothing of this grading was on the device when it was opened, and the first catching up is not over. */
  isNew = false;
  /** The hub's last word, when it closed the line. */
  farewell: Fault | undefined;
  #pass: Pass;
  #pen: Pen;
  readonly #settings: NotebookSettings;
  readonly clock: Clock;
  readonly #unkept = new Map<EntryId, { entry: AnyEntry; sides: readonly SideRecord[] }>();
  readonly #unsent = new Set<EntryId>();
  readonly #refused = new Map<EntryId, Fault>();
  /**
   * What the hub did not take stands in nobody's book, and not in this one either: no screen here says more than a report on the hub's book.
   * It stays on the disk, in view with its reason, and is offered again.
   */
  readonly #untaken = new Map<EntryId, AnyEntry>();
  /** While a hub that was put back from an older copy says everything anew: what others wrote and it has not said yet. */
  #unsaid: Set<EntryId> | undefined;
  /** What it did not say: no screen here says more than a report on its book. Who wrote it still has it, and hands it in. */
  readonly #lost = new Set<EntryId>();
  /** Something of the book is untaken since it was built. */
  #isStale = false;
  #book = new Scorebook();
  /** Locks not taken, of which another says the same by now: nobody needs to hear of them. */
  readonly #overtaken = new Set<EntryId>();
  /** Lines that are not offered any more, but for their place in the count. */
  readonly givenUp = new Set<EntryId>();
  readonly #saidTheirs = new Set<DeviceId>();
  readonly #listeners = new Set<() => void>();
  readonly #keptListeners = new Set<(entries: AnyEntry[], sides: SideRecord[]) => void>();
  readonly #shoutListeners = new Set<(entry: AnyEntry) => void>();
  #version = 0;
  #keeping: Promise<void> | undefined;
  #retry: (() => void) | undefined;
  #soon: (() => void) | undefined;

  private constructor(settings: NotebookSettings, counters: Counters) {
    this.#settings = settings;
    this.clock = settings.clock ?? platformClock;
    this.#pass = settings.pass;
    this.store = settings.store;
    this.#pen = this.#newPen(counters);
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
    for (const id of pass.lost ?? []) notebook.#lost.add(id);
    for (const { entry } of lines) if (!notebook.#lost.has(entry.id)) notebook.book.add(entry);
    notebook.isNew = notebook.book.size === 0;
    for (const { id } of outbox.entries) notebook.#unsent.add(id);
    for (const { id, fault, isGivenUp } of outbox.refusals) {
      notebook.#refused.set(id, fault);
      notebook.wasRefused(id, fault);
      if (isGivenUp) notebook.givenUp.add(id);
    }
    // A device that was switched off between hearing and forgetting forgets now.
    notebook.#forget();
    return notebook;
  }

  #newPen(counters: Counters): Pen {
    const { pass, makeId, nowMs } = this.#settings;
    return new Pen({
      grading: pass.grading,
      person: (pass.person ?? "nobody") as NonNullable<Pass["person"]>,
      device: pass.device,
      ...counters,
      makeId,
      nowMs,
      rules: () => this.book.plan.rules,
    });
  }

  /** What stands, as far as this device knows. */
  get book(): Scorebook {
    if (this.#isStale) this.#setAside();
    return this.#book;
  }
  get pass(): Pass {
    return this.#pass;
  }
  /** This device's own clock, which may be wrong. */
  nowMs(): number {
    return this.#settings.nowMs();
  }
  get version(): number {
    return this.#version;
  }
  /** Entries of this device that no hub has yet. */
  get unsent(): number {
    const aside = this.#aside().filter((id) => this.#unsent.has(id));
    return this.#unsent.size - this.#overtaken.size - aside.length;
  }
  /** The highest logical time this device has written or heard of. */
  get lamport(): number {
    return Math.max(this.#pen.lamport, this.book.lamport);
  }
  get unkept(): number {
    return this.#unkept.size;
  }
  /** What the hub did not take, but for what was put aside, and for what matters no longer. */
  get refused(): ReadonlyMap<EntryId, Fault> {
    const left = new Set([...this.#aside(), ...this.#overtaken]);
    return new Map([...this.#refused].filter(([id]) => !left.has(id)));
  }
  /** Own locks and answers that stand here, and wait until another device of this judge has sent the marks they speak of. */
  get waiting(): EntryOf<"locked" | "answered">[] {
    return [...this.#refused].flatMap(([id, { code }]) => {
      const entry = code === "BASIS_WRONG" ? this.book.entry(id) : undefined;
      const isOne = entry && isKnown(entry);
      return isOne && (entry.kind === "locked" || entry.kind === "answered") ? [entry] : [];
    });
  }
  /** Whether the hub did not take a lock of this judge's there, because whoever had the place before has locked it: nothing is left to do. */
  isPlaceLocked(candidate: CandidateId, section: SectionId): boolean {
    return [...this.#refused.values()].some(
      ({ code, with: where }) =>
        code === "PLACE_LOCKED" && where?.candidate === candidate && where.section === section,
    );
  }
  /** How many lines that the hub did not take were put aside. */
  get aside(): number {
    return this.#aside().length;
  }
  /** Those of which the hub still says so: one that it takes after all is nobody's trouble. */
  #aside(): EntryId[] {
    return (this.#pass.aside ?? []).filter(
      (id) => this.#refused.has(id) && !this.#overtaken.has(id),
    );
  }
  /** What the hub did not take was read, and needs nothing more. It stays on this disk, is still offered, and can be shown again. */
  async putAside(isAside: boolean): Promise<void> {
    const pass = (await this.store.pass(this.#pass.grading)) ?? this.#pass;
    const { aside: _, ...shown } = pass;
    this.#pass = isAside ? { ...pass, aside: [...this.#refused.keys()] } : shown;
    await this.store.keepPass(this.#pass);
    this.#changed();
  }
  /** Further devices that came in under this person's name, and of which they said nothing here yet. */
  get letInsToTell(): LetIn[] {
    const { person, knownLetIns } = this.#pass;
    if (!person || this.book.floor.letIns.length === 0) return [];
    return letInsToTell(this.book, person, knownLetIns).filter(
      ({ device, agreed }) => !(agreed && this.#saidTheirs.has(device)),
    );
  }
  /** Said yes to just now: the word of it that comes back need not be asked about. */
  saidItIsTheirs(device: DeviceId): void {
    this.#saidTheirs.add(device);
  }
  async knowsLetIn(id: EntryId): Promise<void> {
    const pass = (await this.store.pass(this.#pass.grading)) ?? this.#pass;
    this.#pass = { ...pass, knownLetIns: [...(pass.knownLetIns ?? []), id] };
    await this.store.keepPass(this.#pass);
    this.#changed();
  }
  /** A lock that the hub did not take, of which another that it has says the same: nobody needs to do anything about it. */
  isOvertaken(id: EntryId): boolean {
    return this.#overtaken.has(id);
  }
  isKept(id: EntryId): boolean {
    return !this.#unkept.has(id);
  }
  isSent(id: EntryId): boolean {
    return !this.#unsent.has(id);
  }

  subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };
  snapshot = (): number => this.#version;
  /** Tells what has just reached the disk, so that it can be sent. */
  onKept(listener: (entries: AnyEntry[], sides: SideRecord[]) => void): () => void {
    this.#keptListeners.add(listener);
    return () => this.#keptListeners.delete(listener);
  }
  /** Tells of a stop, or that the floor is clear, before the disk is asked: a full one must not keep it from anybody. */
  onShout(listener: (entry: AnyEntry) => void): () => void {
    this.#shoutListeners.add(listener);
    return () => this.#shoutListeners.delete(listener);
  }
  #changed(): void {
    this.#soon?.();
    this.#soon = undefined;
    this.#version++;
    for (const listener of this.#listeners) listener();
  }

  /** The book anew, without what was not taken: once for a whole batch. */
  #setAside(): void {
    this.#isStale = false;
    const others = [...this.#book.entries()].filter(
      ({ id }) => !this.#untaken.has(id) && !this.#lost.has(id),
    );
    this.#book = new Scorebook();
    for (const other of others) this.#book.add(other);
    for (const entry of this.#untaken.values()) this.#noteOvertaken(entry);
  }

  #changedWithin(ms: number): void {
    this.#soon ??= this.clock.after(ms, () => this.#changed());
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
    const one = this.#enter(this.#pen.write(kind, body, more.replaces) as AnyEntry, more.sides);
    await this.#kept(more.drawn);
    return one.entry as EntryOf<Kind>;
  }

  /** Writes what one act says of several children: an entry each, all of them on the disk, or none. */
  async writeTogether(makes: readonly ((pen: Pen) => AnyEntry)[]): Promise<void> {
    for (const make of makes) this.#enter(make(this.#pen));
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
    this.#unkept.set(entry.id, one);
    this.#unsent.add(entry.id);
    // A stop is told at once, before any disk is asked.
    if (entry.kind === "stopped" || entry.kind === "floor-cleared")
      for (const listener of this.#shoutListeners) listener(entry);
    return one;
  }
  async #kept(isDrawn = false): Promise<void> {
    // The disk first, then the screen: the one works while the other is drawn.
    const keeping = this.#keep();
    if (isDrawn) this.#changedWithin(DRAWN_MS);
    else this.#changed();
    await keeping;
  }

  /** One transaction at a time; whatever was written meanwhile shares the next one. */
  #keep(): Promise<void> {
    this.#keeping ??= this.#keepAll().finally(() => {
      this.#keeping = undefined;
    });
    return this.#keeping.then(() =>
      this.#unkept.size > 0 && !this.fault ? this.#keep() : undefined,
    );
  }

  async #keepAll(): Promise<void> {
    this.#retry?.();
    const batch = [...this.#unkept.values()];
    if (batch.length === 0) return;
    const entries = batch.map(({ entry }) => entry);
    const { erased } = this.book;
    const sides = batch.flatMap((one) => one.sides).filter(({ about }) => !erased.has(about));
    try {
      await this.store.keep(this.#pass.grading, entries, sides);
    } catch (error) {
      const fault: Fault =
        error instanceof FaultError
          ? error.fault
          : { code: "STORE_CLOSED", with: { reason: String(error) } };
      if (fault.code === "N_REUSED") return this.#renumber();
      this.fault = fault;
      this.#retry = this.clock.after(AGAIN_MS, () => void this.#keep());
      this.#changed();
      return;
    }
    for (const { id } of entries) this.#unkept.delete(id);
    this.fault = undefined;
    this.#changed();
    for (const listener of this.#keptListeners) listener(entries, sides);
  }

  /** A number is taken: by another tab of this device, or by our own write whose answer was lost. Reads the disk and counts on from there. */
  async #renumber(): Promise<void> {
    const { grading, device } = this.#pass;
    const lines = await this.store.read(grading, 0);
    // Nothing is waited for from here on: what is written meanwhile would take a number between.
    this.#pen = this.#newPen(countersIn(lines, device));
    this.#book = new Scorebook();
    const onDisk = new Set(lines.map(({ entry }) => entry.id));
    for (const { entry } of lines)
      if (!this.#untaken.has(entry.id) && !this.#lost.has(entry.id)) this.book.add(entry);
    for (const [id, one] of [...this.#unkept]) {
      // Written after all: the disk had it, and only the answer was lost.
      if (onDisk.has(id)) {
        this.#unkept.delete(id);
        for (const listener of this.#keptListeners) listener([one.entry], [...one.sides]);
        continue;
      }
      one.entry = writtenAnew(this.#pen, one.entry);
      this.book.add(one.entry);
      this.#unkept.delete(id);
      this.#unkept.set(one.entry.id, one);
      this.#unsent.delete(id);
      this.#unsent.add(one.entry.id);
    }
    this.fault = undefined;
    this.#changed();
    await this.#keepAll();
  }

  // ── from the hub, by way of the uplink ───────────────────────────────────────
  /** Entries that are on this device's disk already. */
  take(entries: readonly AnyEntry[], sides: readonly SideRecord[]): void {
    for (const record of sides) this.sides.set(record.id, record);
    for (const entry of entries) {
      this.#unsaid?.delete(entry.id);
      this.#lost.delete(entry.id);
      if (!this.#untaken.has(entry.id)) this.book.add(entry);
      this.#pen.hear(entry.lamport);
    }
    this.#forget();
    this.#changed();
  }

  /** Kept on the disk already: lines that only a newer version of the app can read. */
  couldNotRead(unread: readonly unknown[]): void {
    this.#pass = { ...this.#pass, unread };
    this.#changed();
  }

  /** Where this test is served; the link asks before every dial. */
  knowsHubs(hubs: readonly string[]): void {
    this.#pass = { ...this.#pass, hubs };
  }
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
  tookRoles(pass: Pass): void {
    const isNewPerson = pass.person !== this.#pass.person;
    this.#pass = pass;
    if (isNewPerson) this.#settings.pass = pass;
    if (isNewPerson)
      this.#pen = this.#newPen({
        last: lastOf(this.book.entries(), pass.device),
        lamport: this.book.lamport,
      });
    this.#changed();
  }
  /** Takes from the disk what this book has missed: a write whose answer was lost is there all the same. */
  async readAgain(): Promise<void> {
    const { grading } = this.#pass;
    const sides = await this.store.sides(grading);
    const lines = await this.store.read(grading, 0);
    const unsent = (await this.store.outbox(grading)).entries;
    // Another tab may have heard that the hub was put back.
    if (!this.#unsaid) {
      this.#lost.clear();
      for (const id of (await this.store.pass(grading))?.lost ?? []) this.#lost.add(id);
      this.#isStale = true;
    }
    this.#unsent.clear();
    for (const { id } of [...unsent, ...[...this.#unkept.values()].map(({ entry }) => entry)])
      this.#unsent.add(id);
    this.take(
      lines.flatMap(({ entry }) => (this.#lost.has(entry.id) ? [] : entry)),
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
        !(entry.by === person && (isMarkOrNote(entry) || isHeld(entry))),
    );
    this.#unsaid = new Set(others.map(({ id }) => id));
    return this.#lostWithout([]);
  }
  /** What it has not said yet when it has said this; undefined where that is nothing new. */
  lostBehind(heard: readonly AnyEntry[]): EntryId[] | undefined {
    const isNews = heard.some(({ id }) => this.#unsaid?.has(id) || this.#lost.has(id));
    return isNews ? this.#lostWithout(heard) : undefined;
  }
  #lostWithout(heard: readonly AnyEntry[]): EntryId[] {
    const ids = new Set(heard.map(({ id }) => id));
    return [...(this.#unsaid ?? []), ...this.#lost].filter((id) => !ids.has(id));
  }
  /**
   * Compares what this device has kept with what the hub holds of it; what the hub holds is sent, whoever of this device sent it.
   * @returns own entries that the hub does not have, acknowledged or not, and what the lost hub held at openings among them.
   */
  comparedWith(holds: Holds): AnyEntry[] {
    const { device } = this.#pass;
    const taken = [...this.#untaken.values()].filter((one) => isHeldIn(holds, one));
    this.acknowledged(taken.map(({ id }) => id));
    for (const entry of this.book.entries())
      if (this.isKept(entry.id) && isHeldIn(holds, entry)) this.#unsent.delete(entry.id);
    return owedAgain(this.book.entries(), device, holds).filter(({ id }) => this.isKept(id));
  }
  /** What waits on the disk now. What was not taken and waits no more has been taken, and another tab was told. */
  outboxIs(entries: readonly AnyEntry[]): void {
    const waiting = new Set(entries.map(({ id }) => id));
    const taken = [...this.#untaken.keys()].filter((id) => !waiting.has(id));
    if (taken.length > 0) this.acknowledged(taken);
  }
  /** Entries of the outbox: also those of another tab of this device, which the hub will not say to this one. */
  owes(entries: readonly AnyEntry[], sides: readonly SideRecord[]): void {
    for (const { id } of entries) this.#unsent.add(id);
    const ofOthers = entries.filter(({ id }) => !this.book.entry(id));
    if (ofOthers.length > 0) this.take(ofOthers, sides);
    else this.#changedWithin(SOON_MS);
  }
  acknowledged(ids: readonly EntryId[]): void {
    for (const id of ids) {
      this.#unsent.delete(id);
      this.#refused.delete(id);
      this.#overtaken.delete(id);
      const entry = this.#untaken.get(id);
      if (!entry) continue;
      // What it speaks of has reached the hub by another way since.
      this.#untaken.delete(id);
      this.book.add(entry);
    }
    for (const entry of this.#untaken.values()) this.#noteOvertaken(entry);
    this.#changedWithin(SOON_MS);
  }
  /**
   * A hub that was put back from an older copy does not know what it refused, and would take it now. Whoever wants it writes it anew; what only waits for the
   * door is offered still. Nor what a chief said alone of who judges what is marked, and of what is open: the marks and locks that the copy lacks come first.
   *
   * @param owed  what a hub had acknowledged: that comes again
   */
  givesUp(owed: ReadonlySet<EntryId>): void {
    const lines = [...this.book.entries()];
    // Before the start nothing is marked.
    const started = lines.find(({ kind }) => kind === "started");
    for (const { id, kind, lamport } of lines)
      if (started && lamport > started.lamport && saidAlone.test(kind))
        if (this.#unsent.has(id) && !owed.has(id)) this.wasRefused(id, { code: "HUB_PUT_BACK" });
    for (const [id, fault] of this.#refused) {
      if (!this.#untaken.has(id) || owed.has(id) || /^DEV|ITT/.test(fault.code)) continue;
      this.givenUp.add(id);
      this.#noteRefusal({ id, fault, isGivenUp: true });
    }
  }
  wasRefused(id: EntryId, fault: Fault): void {
    if (this.givenUp.has(id)) return;
    const isGivenUp = fault.code === "HUB_PUT_BACK";
    // Said once more it is newer than what it was refused for, of which nothing may be told here.
    if (typeof fault.with?.moment === "number") this.#pen.hear(fault.with.moment);
    if (this.#refused.get(id)?.code !== fault.code) this.#noteRefusal({ id, fault, isGivenUp });
    this.#refused.set(id, fault);
    if (isGivenUp) this.givenUp.add(id);
    // Offered again and refused again, it is out of the book already.
    const entry = this.book.entry(id);
    if (entry && !mayComeYet(this.book, entry, fault)) {
      this.#untaken.set(id, entry);
      this.#isStale = true;
    }
    const aside = this.#untaken.get(id);
    if (aside) this.#noteOvertaken(aside);
    this.#changedWithin(SOON_MS);
  }
  /** For the time after a reload. Where the disk does not keep it, the line is offered whole after one, and the hub says so again. */
  #noteRefusal(refusal: Refusal): void {
    this.store.refused(refusal).catch(() => undefined);
  }
  /**
   * A lock that was not taken matters no longer once all it speaks of, and is still this judge's, is locked by another that the hub has; an opening, where
   * the marks are open without it.
   */
  #noteOvertaken(entry: AnyEntry): void {
    if (!isKnown(entry)) return;
    const { id, by } = entry;
    if (entry.kind === "revealed" && this.#refused.get(id)?.code === "SECTION_OPEN")
      this.#overtaken.add(id);
    if (entry.kind !== "locked") return;
    const { section, candidates } = entry.body;
    const isOver = candidates.every((candidate) => {
      const isTheirs = this.book.panel.judgesOf(candidate, section).includes(by);
      return !isTheirs || this.#isLockedAtHub(by, candidate, section);
    });
    if (isOver) this.#overtaken.add(id);
    else this.#overtaken.delete(id);
  }
  #isLockedAtHub(by: PersonId, candidate: CandidateId, section: SectionId): boolean {
    return [...this.book.entries()].some(
      (other) =>
        isKnown(other) &&
        other.kind === "locked" &&
        other.by === by &&
        other.body.section === section &&
        other.body.candidates.includes(candidate) &&
        this.isSent(other.id),
    );
  }
  linkIs(state: LinkState | "none"): void {
    if (this.link === state) return;
    this.link = state;
    this.#changed();
  }
  heardNews(news: Partial<HallNews>): void {
    this.news = { ...this.news, ...news };
    this.#changed();
  }
  /** What this device writes from now on is newer than the shout: also that the floor is clear. */
  heardFloor(floor: Floor): void {
    this.#pen.hear(floor.lamport);
    this.heardNews({ floor });
  }
  heardUpTo(cursor: number, of = this.catchingUp?.of ?? 0): void {
    this.catchingUp = cursor < of ? { heard: cursor, of } : undefined;
    if (!this.catchingUp) {
      this.isNew = false;
      for (const id of this.#unsaid ?? []) {
        this.#lost.add(id);
        this.#isStale = true;
      }
      this.#unsaid = undefined;
    }
    this.#changed();
  }
  /** @param fault  undefined once a hub has let this device in again. */
  saidFarewell(fault: Fault | undefined): void {
    if (this.farewell === fault) return;
    this.farewell = fault;
    this.#changed();
  }
}

/** Where the counts of a device, and logical time, stand by what is on its disk. */
const countersIn = (lines: readonly StoredEntry[], device: DeviceId): Counters => ({
  last: lastOf(
    lines.map(({ entry }) => entry),
    device,
  ),
  lamport: lines.reduce((newest, { entry }) => Math.max(newest, entry.lamport), 0),
});

/**
 * A judge's mark that may only have come before what it hangs on stays on the glass, so that nobody marks twice.
 * So does whatever was only too far ahead of a hub that was put back from an older copy: it is taken when the chief's device has come.
 */
const mayComeYet = (book: Scorebook, entry: AnyEntry, { code }: Fault): boolean =>
  code === "LAMPORT_TOO_HIGH" ||
  (code === "BASIS_WRONG" && waitsForAnother(book, entry)) ||
  (isMarkOrNote(entry) &&
    ["CANDIDATE_UNKNOWN", "ITEM_UNKNOWN", "RUBRIC_UNKNOWN", "SIDE_RECORD_MISSING"].includes(code));

/** What a hub begun from an older copy cannot judge by all that was said. */
const saidAlone = /^(seated|assigned|judge-replaced|revealed|closed)$/;

const isMarkOrNote = ({ kind }: AnyEntry): boolean =>
  kind === "mark" || kind === "overall" || kind === "faults" || kind === "note";

/**
 * A lock, or an answer, that is right by all that this device has heard: the hub was put back from an older copy and lacks what another
 * device of the same judge sent to the one before. If it left the glass, the judge would mark anew, and lock other marks than stood.
 */
const waitsForAnother = (book: Scorebook, entry: AnyEntry): boolean =>
  isKnown(entry) &&
  (entry.kind === "locked" || entry.kind === "answered") &&
  refusalOfBasis(book, entry) === null;

/**
 * The same word at the next free place of its count, under an id that vouches for that place: a lock speaks of what was written before it, also where that has
 * other numbers now.
 */
function writtenAnew(pen: Pen, entry: AnyEntry): AnyEntry {
  const { kind, body } = entry as Entry;
  const place = pen.next(kind, body);
  const { grading } = entry;
  const id = isOfVouchingForm(entry.id)
    ? vouchedEntryId(entry.id, { grading, ...place })
    : entry.id;
  return { ...entry, ...place, id, body: speaking(kind, body, place) } as AnyEntry;
}
