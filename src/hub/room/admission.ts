import type { AnyBook } from "../../book/any-book.ts";
import { deviceOf } from "../../book/counts.ts";
import { DeviceCounts } from "../../book/device-counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import {
  CountId,
  type DeviceId,
  type EntryId,
  type GradingId,
  type SideRecordId,
} from "../../book/identity.ts";
import { keyed } from "../../book/keyed.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { partedFromReceipt } from "../../line/receipt.ts";
import { refsIn } from "../../line/refs-in.ts";
import { canonicalText } from "../store/chain.ts";
import type { AnyAuthor, Handed, Job } from "./handed.ts";
import type { Intake } from "./intake.ts";
import type { OwnWord } from "./own-word.ts";
import { refusalOfSide, type SideShelf } from "./side-shelf.ts";

/** One entry that may be kept, on its way to the disk. */
interface Accepted<Author> {
  job: number;
  /** Undefined for what the hub writes itself. */
  author: Author | undefined;
  entry: AnyEntry;
}

/** What may be kept of a group, and what is answered. */
export interface Decision<Author> {
  entries: readonly AnyEntry[];
  sides: readonly SideRecord[];
  accepted: readonly Accepted<Author>[];
  answers: Handed[];
}

interface AdmissionSettings {
  /** So many entries are taken of one device, beside what is taken of anyone. */
  mostADevice: number;
  box: OwnWord | undefined;
  /** Whom the hub knows to be erased besides the book. */
  erasedBefore: ReadonlySet<string>;
}

/** What became of one entry. */
type Checked =
  | { entry: AnyEntry; sides: SideRecord[] }
  | { known: EntryId }
  | { id: EntryId | null; fault: Fault };
type SideOf = (id: SideRecordId) => SideRecord | undefined;

/**
 * Which entries one book takes: what every book asks of a line stands here, what this one asks is its `Intake`'s to say. Its book may run ahead of the disk
 * while a group is being checked.
 */
export class Admission<Book extends AnyBook, Author extends AnyAuthor> {
  readonly #grading: GradingId;
  readonly #sides: SideShelf;
  readonly #emptyBook: () => Book;
  readonly #intake: Intake<Book, Author>;
  readonly #settings: AdmissionSettings;
  /** Each device's count as this hub has heard it, refused entries included. */
  #counts: DeviceCounts;
  /** Of the counts in which something is refused now, how far each was heard before that. */
  readonly #heardBefore = new Map<CountId, number>();
  readonly #lastHeard = (count: CountId): number => this.#counts.last(count);
  /** Of the kinds of which so many are taken, how many there are of each device. */
  readonly #ofKind = new Map<string, number>();
  #book: Book;

  constructor(
    grading: GradingId,
    sides: SideShelf,
    emptyBook: () => Book,
    intake: Intake<Book, Author>,
    settings: AdmissionSettings,
  ) {
    this.#grading = grading;
    this.#sides = sides;
    this.#emptyBook = emptyBook;
    this.#intake = intake;
    this.#settings = settings;
    this.#book = emptyBook();
    this.#counts = new DeviceCounts(intake.lines.isOutOfTurn);
    intake.decidesBy(this.#book, this.#lastHeard);
  }

  /** Ahead of the disk. */
  enter(entry: AnyEntry): void {
    this.#add(entry);
    this.#counts.take(entry);
  }
  #add(entry: AnyEntry): void {
    this.#book.add(entry);
    if (this.#mostOf(entry) === undefined) return;
    const key = kindOfDevice(entry);
    this.#ofKind.set(key, (this.#ofKind.get(key) ?? 0) + 1);
  }
  #mostOf({ kind }: AnyEntry): number | undefined {
    const { most } = this.#intake.lines;
    return Object.hasOwn(most, kind) ? most[kind] : undefined;
  }
  /** It is on the disk: what came before it, and was refused, is not waited for again. */
  wasKept({ entry }: StoredEntry): void {
    this.#counts.take(entry, true);
  }
  /**
   * The book as it is on the disk, and nothing that is only hoped for. What was refused before stays so, and is not waited for again.
   * @param isTold  so does what was refused last: whoever wrote it is told
   */
  rewind(kept: Iterable<StoredEntry>, isTold: boolean): void {
    const heard = this.#counts;
    this.#book = this.#emptyBook();
    this.#counts = new DeviceCounts(this.#intake.lines.isOutOfTurn);
    this.#ofKind.clear();
    for (const stored of kept) {
      this.#add(stored.entry);
      this.wasKept(stored);
    }
    this.#counts.hearRefused(heard, isTold ? new Map() : this.#heardBefore);
    this.#intake.decidesBy(this.#book, this.#lastHeard);
  }
  /** It was refused: what comes next need not wait for it. */
  #hear(count: CountId, n: number): void {
    keyed(this.#heardBefore, count, () => this.#counts.last(count));
    this.#counts.hear(count, n);
  }

  /** What may be kept of these jobs, by the book as it is now. What may is entered in the book. */
  decide(jobs: readonly Job<Author>[]): Decision<Author> {
    this.#heardBefore.clear();
    const answers = jobs.map((): Handed => ({ kept: [], refused: [] }));
    const accepted: Accepted<Author>[] = [];
    const sides = new Map<SideRecordId, SideRecord>();
    for (const [index, { author, entries, sides: its }] of jobs.entries()) {
      if (!author) continue;
      const offered = new Map(its.map((side) => [side.id, side]));
      for (const json of entries) {
        const answer = answers[index] as Handed;
        const checked = this.#check(author, json, (id) => sides.get(id) ?? offered.get(id));
        if ("fault" in checked) answer.refused.push(checked);
        else if ("known" in checked) answer.kept.push(checked.known);
        else {
          const beside = this.#intake.beside?.(checked.entry, author);
          this.enter(checked.entry);
          accepted.push({ job: index, author, entry: checked.entry });
          for (const side of checked.sides) sides.set(side.id, side);
          for (const entry of beside?.() ?? []) {
            this.enter(entry);
            accepted.push({ job: index, author: undefined, entry });
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

  /** Whether one entry may be kept. Noted here: what was heard of its count, and by the intake; not the book. */
  #check(author: Author, json: unknown, sideOf: SideOf): Checked {
    const { line, receipt } = partedFromReceipt(json);
    const read = this.#intake.lines.readEntry(line);
    if (!read.ok) {
      const named = nameOf(line);
      // What cannot be read may name any count: of a device that is full none is begun.
      const isOwn = named.count && deviceOf(named.count) === author.device;
      if (named.count && isOwn && named.n !== undefined && !this.#isFull(author.device))
        this.#hear(named.count, named.n);
      const where = { path: read.path.join("."), detail: read.message };
      return { id: named.id, fault: { code: "ENTRY_MALFORMED", with: where } };
    }
    const { entry } = read;
    const { id, device, n } = entry;
    const refuse = (fault: Fault) => ({ id, fault });
    if (entry.grading !== this.#grading) return refuse({ code: "GRADING_OTHER" });
    const owner = deviceOf(device);
    const isTheirs =
      owner === author.device ||
      author.alsoOn?.has(owner) ||
      this.#intake.isGivenBack?.(author, entry);
    const isIn = !isTheirs && author.alsoIn?.has(owner);
    // Before the book is asked for its id: whoever offers guesses at another's line would learn which is there, and what it says.
    if (!isTheirs && !isIn) return refuse({ code: "NOT_YOURS" });
    const before = this.#book.entry(id);
    const isReused = { code: "ID_REUSED", with: { id } } as const;
    if (before && deviceOf(before.device) === owner) {
      if (canonicalText(before) === canonicalText(entry)) return { known: id };
      // Whoever took this id is not to make the device that lost it wait for ever behind a gap.
      if (owner === author.device && !this.#isFull(owner)) this.#hear(device, n);
      return refuse(isReused);
    }
    if (isIn) return refuse({ code: "DEVICE_IN" });
    if (author.isOut?.()) return refuse({ code: "NOT_ADMITTED" });
    const isInNeed = this.#intake.lines.isForAnyone(entry);
    // A stop does not wait for the entries before it.
    const misfit = this.#counts.fault(entry, isInNeed);
    if (misfit?.code === "N_GAP") return refuse(misfit);
    if (!isInNeed && this.#intake.mustWait?.(author)) return refuse({ code: "LAMPORT_TOO_HIGH" });
    const isOurs = receipt !== undefined && receipt === this.#settings.box?.receiptFor(entry);
    // An id of another's device: in a book of before, or a stop of an app of before.
    const fault =
      misfit ?? this.#intake.refusalOf(entry, author, isOurs) ?? (before ? isReused : null);
    // What is only too far ahead is offered again by itself: nothing after it passes its place over.
    if (fault?.code === "LAMPORT_TOO_HIGH" && !author.isDone) return refuse(fault);
    this.#hear(device, n);
    const full = this.#fullOf(entry, isInNeed);
    if (full !== undefined) return refuse({ code: "DEVICE_FULL", with: { most: full } });
    if (fault) return refuse(this.#intake.refused?.(entry, fault) ?? fault);
    this.#intake.passed?.(entry);
    const sides = this.#sidesOf(entry, isInNeed, sideOf);
    if (!Array.isArray(sides)) return refuse(sides);
    this.#intake.taken?.(entry, isOurs);
    return { entry, sides };
  }

  #isFull(device: DeviceId): boolean {
    return this.#counts.heardOf(device) > this.#settings.mostADevice;
  }
  /** How many are taken of this device, where there are as many. */
  #fullOf(entry: AnyEntry, isInNeed: boolean): number | undefined {
    if (!isInNeed && this.#isFull(deviceOf(entry.device))) return this.#settings.mostADevice;
    const most = this.#mostOf(entry);
    const isFull = most !== undefined && (this.#ofKind.get(kindOfDevice(entry)) ?? 0) >= most;
    return isFull ? most : undefined;
  }

  /** The names and texts that are kept with an entry; or why it is not taken for want of them. */
  #sidesOf(entry: AnyEntry, isInNeed: boolean, sideOf: SideOf): SideRecord[] | Fault {
    const rules = this.#intake.lines.sides;
    const sides: SideRecord[] = [];
    for (const ref of rules.isKnown(entry) ? refsIn(entry) : []) {
      const held = this.#sides.held(ref.id);
      const side = held ?? sideOf(ref.id);
      // What is on the disk already was taken by the rules of then.
      const wrong = refusalOfSide(entry, ref, side, {
        rules,
        around: {
          isSeated: (person) => this.#intake.isSeated(person),
          entry: (id) => this.#book.entry(id),
        },
        isHeld: held !== undefined,
        mustVouch: this.#intake.mustVouch(entry),
      });
      // Nothing is kept of whom the chief had erased, and no entry is refused for want of it; words about others that it bears are.
      if (side ? !wrong && this.#isErased(side.about) : this.#speaksOfErased(entry)) continue;
      // What is taken of anyone is never refused, not even for want of its words; where they are too many, whoever wrote them must hear that they were not taken.
      if (wrong && (!isInNeed || wrong.code === "ENTRY_TOO_LARGE")) return wrong;
      if (!wrong && !held && side) sides.push(side);
    }
    return sides;
  }
  #speaksOfErased(entry: AnyEntry): boolean {
    return this.#intake.lines.sides.spokenOfIn(entry).some((about) => this.#isErased(about));
  }
  #isErased(about: string): boolean {
    return this.#book.erased.has(about) || this.#settings.erasedBefore.has(about);
  }
}

const kindOfDevice = ({ device, kind }: AnyEntry): string => `${deviceOf(device)}/${kind}`;

/** What can be read of an entry that cannot be read. */
export function nameOf(json: unknown): {
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
