import type { AnyBook } from "../../book/any-book.ts";
import { deviceOf } from "../../book/counts.ts";
import type { CountId, DeviceId, GradingId } from "../../book/identity.ts";
import type { Readers, ViewerAs } from "../../book/readers.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { Feed, feedId } from "../../line/feed.ts";
import { Ledger } from "../../line/ledger.ts";
import { type Run, runsOf } from "../../line/runs.ts";

/** How far a tablet says it has read, in which feed, and the link of the chain there. */
export interface ReadSoFar {
  feed: string | undefined;
  cursor: number;
  link?: string | undefined;
}

/** One book as it is on the disk, and what each viewer is sent of it. */
export class Published<Book extends AnyBook, Role extends string> {
  readonly #readers: Readers<Book, Role>;
  readonly #grading: GradingId;
  readonly #hub: string;
  readonly #ledger: Ledger<Book>;
  readonly #feeds = new Map<string, Feed<Role>>();
  /** The numbers on the disk, by device and count. */
  readonly #held = new Map<DeviceId, Map<CountId, number[]>>();

  constructor(grading: GradingId, hub: string, readers: Readers<Book, Role>) {
    this.#grading = grading;
    this.#hub = hub;
    this.#readers = readers;
    this.#ledger = new Ledger(readers);
  }

  /** The next line. */
  add(stored: StoredEntry): void {
    const { device, n } = stored.entry;
    const owner = deviceOf(device);
    const counts = this.#held.get(owner) ?? new Map<CountId, number[]>();
    this.#held.set(owner, counts);
    const numbers = counts.get(device);
    if (numbers) numbers.push(n);
    else counts.set(device, [n]);
    const step = this.#ledger.add(stored);
    for (const feed of this.#feeds.values()) feed.take(step);
  }

  get book(): Book {
    return this.#ledger.book;
  }
  *lines(): IterableIterator<StoredEntry> {
    for (const { stored } of this.#ledger.steps) yield stored;
  }
  /** The last line. */
  get last(): StoredEntry | undefined {
    return this.#ledger.steps.at(-1)?.stored;
  }
  /** The newest line at which nothing was closed: how long the book is then tells nobody how much was written under seal. */
  get lastUnsealed(): StoredEntry | undefined {
    return this.#ledger.lastUnsealed;
  }
  /** The last line's place. */
  get upTo(): number {
    return this.#ledger.steps.length;
  }
  /** Which numbers of a device's entries there are, count by count. */
  holds(device: DeviceId): Map<CountId, Run[]> {
    const held = this.#held.get(device) ?? new Map<CountId, number[]>();
    return new Map([...held].map(([count, numbers]) => [count, runsOf(numbers)]));
  }

  feedId(viewer: ViewerAs<Role>): string {
    return feedId(this.#hub, this.#grading, viewer);
  }
  feed(viewer: ViewerAs<Role>): Feed<Role> {
    const id = this.feedId(viewer);
    let feed = this.#feeds.get(id);
    if (!feed) this.#feeds.set(id, (feed = new Feed(this.#readers, viewer, this.#ledger.steps)));
    return feed;
  }
  /** Whether a tablet has read this feed in a book that this hub has lost: further than it goes, or to another line. */
  hasLost(viewer: ViewerAs<Role>, { feed, cursor, link }: ReadSoFar): boolean {
    if (feed !== this.feedId(viewer)) return false;
    const its = this.feed(viewer);
    return cursor > its.length || (link !== undefined && link !== its.linkAt(cursor));
  }
}
