import type { AnyBook } from "../../book/any-book.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { EntryId } from "../../book/identity.ts";

/** The folded book of a device: of all that it has, what stands. */
export class Standing<Book extends AnyBook> {
  readonly #newBook: () => Book;
  readonly #isOut: (id: EntryId) => boolean;
  readonly #rebuilt: () => void;
  #book: Book;
  /** Something of the book is out of it since it was built. */
  #isStale = false;

  /** @param isOut  of a line that was not taken, or is lost. @param rebuilt  something has left the book */
  constructor(newBook: () => Book, isOut: (id: EntryId) => boolean, rebuilt: () => void) {
    this.#newBook = newBook;
    this.#isOut = isOut;
    this.#rebuilt = rebuilt;
    this.#book = newBook();
  }

  get book(): Book {
    if (this.#isStale) {
      // Once for a whole batch.
      this.buildFrom([...this.#book.entries()]);
      this.#rebuilt();
    }
    return this.#book;
  }
  buildFrom(entries: readonly AnyEntry[]): void {
    this.#isStale = false;
    this.#book = this.#newBook();
    for (const entry of entries) if (!this.#isOut(entry.id)) this.#book.add(entry);
  }
  hasLost(): void {
    this.#isStale = true;
  }
}
