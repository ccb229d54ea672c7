import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { Viewer } from "../../belt-test/scorebook/sight.ts";
import { deviceOf } from "../../book/counts.ts";
import type { CountId, DeviceId, GradingId } from "../../book/identity.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { CoverageBoard } from "../../line/coverage-board.ts";
import { Feed, feedId } from "../../line/feed.ts";
import { Ledger } from "../../line/ledger.ts";
import type { CoverageNews } from "../../line/protocol.ts";
import { type Run, runsOf } from "../../line/runs.ts";

/** How far a tablet says it has read, in which feed, and the link of the chain there. */
export interface ReadSoFar {
  feed: string | undefined;
  cursor: number;
  link?: string | undefined;
}

/** One book as it is on the disk, and what each viewer is sent of it. */
export class Published {
  readonly #grading: GradingId;
  readonly #hub: string;
  readonly #ledger = new Ledger();
  readonly #coverage = new CoverageBoard();
  readonly #feeds = new Map<string, Feed>();
  /** The numbers on the disk, by device and count. */
  readonly #held = new Map<DeviceId, Map<CountId, number[]>>();

  constructor(grading: GradingId, hub: string) {
    this.#grading = grading;
    this.#hub = hub;
  }

  /** The next line. @returns what it changes of how far judges are */
  add(stored: StoredEntry): CoverageNews {
    const { device, n } = stored.entry;
    const owner = deviceOf(device);
    const counts = this.#held.get(owner) ?? new Map<CountId, number[]>();
    this.#held.set(owner, counts);
    const numbers = counts.get(device);
    if (numbers) numbers.push(n);
    else counts.set(device, [n]);
    const step = this.#ledger.add(stored);
    for (const feed of this.#feeds.values()) feed.take(step);
    return this.#coverage.note(this.#ledger.book, stored.entry);
  }

  get book(): Scorebook {
    return this.#ledger.book;
  }
  *lines(): IterableIterator<StoredEntry> {
    for (const { stored } of this.#ledger.steps) yield stored;
  }
  /** The last line. */
  get last(): StoredEntry | undefined {
    return this.#ledger.steps.at(-1)?.stored;
  }
  /** The newest line at which no mark was closed: how long the book is then tells nobody how often a judge has tapped. */
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
  coverage(): CoverageNews {
    return this.#coverage.all();
  }

  feedId(viewer: Viewer): string {
    return feedId(this.#hub, this.#grading, viewer);
  }
  feed(viewer: Viewer): Feed {
    const id = this.feedId(viewer);
    let feed = this.#feeds.get(id);
    if (!feed) this.#feeds.set(id, (feed = new Feed(viewer, this.#ledger.steps)));
    return feed;
  }
  /** Whether a tablet has read this feed in a book that this hub has lost: further than it goes, or to another line. */
  hasLost(viewer: Viewer, { feed, cursor, link }: ReadSoFar): boolean {
    if (feed !== this.feedId(viewer)) return false;
    const its = this.feed(viewer);
    return cursor > its.length || (link !== undefined && link !== its.linkAt(cursor));
  }
}
