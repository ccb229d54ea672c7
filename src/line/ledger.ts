import type { AnyBook } from "../book/any-book.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { Openness, Readers } from "../book/readers.ts";
import type { StoredEntry } from "../book/stored-entry.ts";

/** What one more line of the book makes visible. */
export interface Step {
  stored: StoredEntry;
  /** Lines that were closed and are open from this line on, oldest first; this line itself may be among them. */
  opened: readonly StoredEntry[];
}

/** What a ledger is to be told of its book. */
type Rules<Book extends AnyBook> = Pick<
  Readers<Book, string>,
  "emptyBook" | "waitsOf" | "mayOpen" | "openness"
>;

/**
 * A book read line by line in the order of its places, noting at which line each closed one was opened.
 * The same lines in the same order give the same steps, however they were grouped and however often the hub was restarted.
 * Once opened stays opened, whoever joins later.
 */
export class Ledger<Book extends AnyBook> {
  readonly book: Book;
  readonly steps: Step[] = [];
  readonly #rules: Rules<Book>;
  readonly #closed = new Map<number, { stored: StoredEntry; waits: unknown }>();
  #lastUnsealed: StoredEntry | undefined;

  constructor(rules: Rules<Book>) {
    this.#rules = rules;
    this.book = rules.emptyBook();
  }

  /** The newest line at which nothing lay under seal: its place in the book tells nobody how many lines are closed. */
  get lastUnsealed(): StoredEntry | undefined {
    return this.#lastUnsealed;
  }

  /** @throws RangeError when a line is missing: a feed with a hole would be wrong for ever. */
  add(stored: StoredEntry): Step {
    if (stored.seq !== this.steps.length + 1)
      throw new RangeError(`Ledger.add: place ${stored.seq} after ${this.steps.length}`);
    this.book.add(stored.entry);
    const waits = this.#rules.waitsOf(stored.entry);
    if (waits !== undefined) this.#closed.set(stored.seq, { stored, waits });
    const step = { stored, opened: this.#open(stored.entry, stored.seq) };
    this.steps.push(step);
    if (this.#closed.size === 0) this.#lastUnsealed = stored;
    return step;
  }

  #open(entry: AnyEntry, seq: number): StoredEntry[] {
    const own = this.#closed.get(seq);
    const mayOpen = this.#rules.mayOpen.has(entry.kind);
    if (!mayOpen && !own) return [];
    const now = this.#rules.openness(this.book);
    // What opens others may be closed itself until the last of its kind comes, which opens them all.
    const asked = mayOpen ? [...this.#closed.values()] : own ? [own] : [];
    return asked.filter((closed) => this.#take(closed, now)).map((one) => one.stored);
  }

  #take(closed: { stored: StoredEntry; waits: unknown }, now: Openness<unknown>): boolean {
    const isOpen = now.isOpen(closed.waits);
    if (isOpen) this.#closed.delete(closed.stored.seq);
    return isOpen;
  }
}
