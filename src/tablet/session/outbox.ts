import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import { kindsThatAre } from "../../belt-test/kinds/all-kinds.ts";
import { type EntryOf, isKnown } from "../../belt-test/scorebook/entry.ts";
import { refusalOfBasis } from "../../belt-test/scorebook/refusal-of-basis.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { EntryId, PersonId } from "../../book/identity.ts";
import type { Refusal } from "../../ports/tablet-store.ts";

/** The notebook an outbox belongs to. */
interface Around {
  book: () => Scorebook;
  /** For the time after a reload. Where the disk does not keep it, the line is offered whole after one, and the hub says so again. */
  note: (refusal: Refusal) => void;
  /** Lines that their owner has read and put aside; see `Pass.aside`. */
  aside: () => readonly EntryId[];
  /** A line of the book is untaken. */
  leftBook: () => void;
  /** What is written from now on is newer than this logical time. */
  hear: (moment: number) => void;
}

type LockOrAnswer = EntryOf<"locked" | "answered">;
const isLockOrAnswer = (entry: AnyEntry): entry is LockOrAnswer =>
  isKnown(entry) && (entry.kind === "locked" || entry.kind === "answered");

/** How far this device's own lines have come on their way to a hub: sent, taken, refused, or matterless by now. */
export class Outbox {
  readonly #around: Around;
  readonly #unsent = new Set<EntryId>();
  readonly #refused = new Map<EntryId, Fault>();
  /**
   * What the hub did not take stands in nobody's book, and not in this one either: no screen here says more than a report on the hub's book.
   * It stays on the disk, in view with its reason, and is offered again.
   */
  readonly #untaken = new Map<EntryId, AnyEntry>();
  /** Locks not taken, of which another says the same by now: nobody needs to hear of them. */
  readonly #overtaken = new Set<EntryId>();
  readonly #givenUp = new Set<EntryId>();

  constructor(around: Around) {
    this.#around = around;
  }

  /** How many lines no hub has yet. */
  get unsent(): number {
    const aside = this.#aside().filter((id) => this.#unsent.has(id));
    return this.#unsent.size - this.#overtaken.size - aside.length;
  }
  isSent(id: EntryId): boolean {
    return !this.#unsent.has(id);
  }
  isUntaken(id: EntryId): boolean {
    return this.#untaken.has(id);
  }
  /** A line that is not offered any more, but for its place in the count. */
  isGivenUp(id: EntryId): boolean {
    return this.#givenUp.has(id);
  }
  /** A lock that the hub did not take, of which another that it has says the same: nobody needs to do anything about it. */
  isOvertaken(id: EntryId): boolean {
    return this.#overtaken.has(id);
  }
  /** What the hub did not take, but for what was put aside, and for what matters no longer. */
  get refused(): ReadonlyMap<EntryId, Fault> {
    const left = new Set([...this.#aside(), ...this.#overtaken]);
    return new Map([...this.#refused].filter(([id]) => !left.has(id)));
  }
  /** All that the hub did not take. */
  refusedIds(): EntryId[] {
    return [...this.#refused.keys()];
  }
  untaken(): AnyEntry[] {
    return [...this.#untaken.values()];
  }
  /** Own locks and answers that stand here, and wait until another device of this judge has sent the marks they speak of. */
  get waiting(): LockOrAnswer[] {
    return [...this.#refused].flatMap(([id, { code }]) => {
      const entry = code === "BASIS_WRONG" ? this.#around.book().entry(id) : undefined;
      return entry && isLockOrAnswer(entry) ? [entry] : [];
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
    return this.#around.aside().filter((id) => this.#refused.has(id) && !this.#overtaken.has(id));
  }

  owes(id: EntryId): void {
    this.#unsent.add(id);
  }
  owesNot(id: EntryId): void {
    this.#unsent.delete(id);
  }
  owesOnly(ids: readonly EntryId[]): void {
    this.#unsent.clear();
    for (const id of ids) this.#unsent.add(id);
  }
  /** As the disk remembers it. */
  remembers({ id, fault, isGivenUp }: Refusal): void {
    this.#refused.set(id, fault);
    this.refuses(id, fault);
    if (isGivenUp) this.#givenUp.add(id);
  }

  /** @returns lines that stand in the book again: what they speak of has reached the hub by another way since */
  acknowledges(ids: readonly EntryId[]): AnyEntry[] {
    const again: AnyEntry[] = [];
    for (const id of ids) {
      this.#unsent.delete(id);
      this.#refused.delete(id);
      this.#overtaken.delete(id);
      const entry = this.#untaken.get(id);
      if (!entry) continue;
      this.#untaken.delete(id);
      again.push(entry);
    }
    return again;
  }
  refuses(id: EntryId, fault: Fault): void {
    if (this.#givenUp.has(id)) return;
    const isGivenUp = fault.code === "HUB_PUT_BACK";
    // Said once more it is newer than what it was refused for, of which nothing may be told here.
    if (typeof fault.with?.moment === "number") this.#around.hear(fault.with.moment);
    if (this.#refused.get(id)?.code !== fault.code) this.#around.note({ id, fault, isGivenUp });
    this.#refused.set(id, fault);
    if (isGivenUp) this.#givenUp.add(id);
    // Offered again and refused again, it is out of the book already.
    const book = this.#around.book();
    const entry = book.entry(id);
    if (entry && !mayComeYet(book, entry, fault)) {
      this.#untaken.set(id, entry);
      this.#around.leftBook();
    }
    const aside = this.#untaken.get(id);
    if (aside) this.#noteOvertaken(aside);
  }
  /**
   * A hub that was put back from an older copy does not know what it refused, and would take it now. Whoever wants it writes it anew; what only waits for the
   * door is offered still. Nor what a chief said alone of who judges what is marked, and of what is open: the marks and locks that the copy lacks come first.
   *
   * @param owed  what a hub had acknowledged: that comes again
   */
  givesUp(owed: ReadonlySet<EntryId>): void {
    const lines = [...this.#around.book().entries()];
    // Before the start nothing is marked.
    const started = lines.find(({ kind }) => kind === "started");
    for (const { id, kind, lamport } of lines)
      if (started && lamport > started.lamport && saidAlone.has(kind))
        if (this.#unsent.has(id) && !owed.has(id)) this.refuses(id, { code: "HUB_PUT_BACK" });
    for (const [id, fault] of this.#refused) {
      if (!this.#untaken.has(id) || owed.has(id) || /^DEV|ITT/.test(fault.code)) continue;
      this.#givenUp.add(id);
      this.#around.note({ id, fault, isGivenUp: true });
    }
  }

  /** What matters no longer, by the book as it is now. */
  looksAgain(): void {
    for (const entry of this.#untaken.values()) this.#noteOvertaken(entry);
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
    const { panel } = this.#around.book();
    const isOver = candidates.every((candidate) => {
      const isTheirs = panel.judgesOf(candidate, section).includes(by);
      return !isTheirs || this.#isLockedAtHub(by, candidate, section);
    });
    if (isOver) this.#overtaken.add(id);
    else this.#overtaken.delete(id);
  }
  #isLockedAtHub(by: PersonId, candidate: CandidateId, section: SectionId): boolean {
    return [...this.#around.book().entries()].some(
      (other) =>
        isKnown(other) &&
        other.kind === "locked" &&
        other.by === by &&
        other.body.section === section &&
        other.body.candidates.includes(candidate) &&
        this.isSent(other.id),
    );
  }
}

/**
 * A judge's mark that may only have come before what it hangs on stays on the glass, so that nobody marks twice.
 * So does whatever was only too far ahead of a hub that was put back from an older copy: it is taken when the chief's device has come.
 */
const mayComeYet = (book: Scorebook, entry: AnyEntry, { code }: Fault): boolean =>
  code === "LAMPORT_TOO_HIGH" ||
  (code === "BASIS_WRONG" && waitsForAnother(book, entry)) ||
  (untimed.has(entry.kind) &&
    ["CANDIDATE_UNKNOWN", "ITEM_UNKNOWN", "RUBRIC_UNKNOWN", "SIDE_RECORD_MISSING"].includes(code));

const saidAlone = kindsThatAre("said-alone");
const untimed = kindsThatAre("untimed");

/**
 * A lock, or an answer, that is right by all that this device has heard: the hub was put back from an older copy and lacks what another
 * device of the same judge sent to the one before. If it left the glass, the judge would mark anew, and lock other marks than stood.
 */
const waitsForAnother = (book: Scorebook, entry: AnyEntry): boolean =>
  isLockOrAnswer(entry) && refusalOfBasis(book, entry) === null;
