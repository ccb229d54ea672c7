import type { AnyBook } from "../../book/any-book.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { EntryId } from "../../book/identity.ts";
import type { Refusal } from "../../ports/tablet-store.ts";
import type { BookRules } from "./book-rules.ts";

/** The notebook an outbox belongs to. */
interface Around<Book extends AnyBook> {
  rules: Pick<BookRules<Book, object, object>, "mayComeYet" | "isOvertaken" | "notSaidAgain">;
  book: () => Book;
  /** For the time after a reload. Where the disk does not keep it, the line is offered whole after one, and the hub says so again. */
  note: (refusal: Refusal) => void;
  /** Lines that their owner has read and put aside; see `Pass.aside`. */
  aside: () => readonly EntryId[];
  /** A line of the book is untaken. */
  leftBook: () => void;
  /** What is written from now on is newer than this logical time. */
  hear: (moment: number) => void;
}

/** How far this device's own lines have come on their way to a hub: sent, taken, refused, or matterless by now. */
export class Outbox<Book extends AnyBook> {
  readonly #around: Around<Book>;
  readonly #unsent = new Set<EntryId>();
  readonly #refusals = new Map<EntryId, Fault>();
  /**
   * What the hub did not take stands in nobody's book, and not in this one either: no screen here says more than a report on the hub's book.
   * It stays on the disk, in view with its reason, and is offered again.
   */
  readonly #untaken = new Map<EntryId, AnyEntry>();
  /** Lines not taken, of which another says the same by now: nobody needs to hear of them. */
  readonly #overtaken = new Set<EntryId>();
  readonly #givenUp = new Set<EntryId>();

  constructor(around: Around<Book>) {
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
  /** A line that the hub did not take, of which another that it has says the same: nobody needs to do anything about it. */
  isOvertaken(id: EntryId): boolean {
    return this.#overtaken.has(id);
  }
  /** What the hub did not take, but for what was put aside, and for what matters no longer. */
  get refused(): ReadonlyMap<EntryId, Fault> {
    const left = new Set([...this.#aside(), ...this.#overtaken]);
    return new Map([...this.#refusals].filter(([id]) => !left.has(id)));
  }
  /** All that the hub did not take. */
  get refusals(): ReadonlyMap<EntryId, Fault> {
    return this.#refusals;
  }
  untaken(): AnyEntry[] {
    return [...this.#untaken.values()];
  }
  /** How many lines that the hub did not take were put aside. */
  get aside(): number {
    return this.#aside().length;
  }
  /** Those of which the hub still says so: one that it takes after all is nobody's trouble. */
  #aside(): EntryId[] {
    return this.#around.aside().filter((id) => this.#refusals.has(id) && !this.#overtaken.has(id));
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
    this.#refusals.set(id, fault);
    this.refuses(id, fault);
    if (isGivenUp) this.#givenUp.add(id);
  }

  /** @returns lines that stand in the book again: what they speak of has reached the hub by another way since */
  acknowledges(ids: readonly EntryId[]): AnyEntry[] {
    const again: AnyEntry[] = [];
    for (const id of ids) {
      this.#unsent.delete(id);
      this.#refusals.delete(id);
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
    const { rules, note, hear, leftBook } = this.#around;
    const isGivenUp = fault.code === "HUB_PUT_BACK";
    // Said once more it is newer than what it was refused for, of which nothing may be told here.
    if (typeof fault.with?.moment === "number") hear(fault.with.moment);
    if (this.#refusals.get(id)?.code !== fault.code) note({ id, fault, isGivenUp });
    this.#refusals.set(id, fault);
    if (isGivenUp) this.#givenUp.add(id);
    // Offered again and refused again, it is out of the book already.
    const book = this.#around.book();
    const entry = book.entry(id);
    // What was only too far ahead of a hub that was put back from an older copy is taken when the chief's device has come.
    if (entry && fault.code !== "LAMPORT_TOO_HIGH" && !rules.mayComeYet(book, entry, fault)) {
      this.#untaken.set(id, entry);
      leftBook();
    }
    const untaken = this.#untaken.get(id);
    if (untaken) this.#noteOvertaken(untaken);
  }
  /**
   * A hub that was put back from an older copy does not know what it refused, and would take it now. Whoever wants it writes it anew; what only waits for the
   * door is offered still. Nor is it handed what the book says is not said again.
   *
   * @param owed  what a hub had acknowledged: that comes again
   */
  givesUp(owed: ReadonlySet<EntryId>): void {
    const { rules, book, note } = this.#around;
    for (const { id } of rules.notSaidAgain(book()))
      if (this.#unsent.has(id) && !owed.has(id)) this.refuses(id, { code: "HUB_PUT_BACK" });
    for (const [id, fault] of this.#refusals) {
      if (!this.#untaken.has(id) || owed.has(id) || /^DEV|ITT/.test(fault.code)) continue;
      this.#givenUp.add(id);
      note({ id, fault, isGivenUp: true });
    }
  }

  /** What matters no longer, by the book as it is now. */
  looksAgain(): void {
    for (const entry of this.#untaken.values()) this.#noteOvertaken(entry);
  }
  #noteOvertaken(entry: AnyEntry): void {
    const { rules, book } = this.#around;
    const isOver = rules.isOvertaken(entry, book(), this);
    if (isOver) this.#overtaken.add(entry.id);
    else if (isOver === false) this.#overtaken.delete(entry.id);
  }
}
