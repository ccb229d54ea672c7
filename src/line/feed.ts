import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import type { AnyBook } from "../book/any-book.ts";
import type { OwnPartFirst, Readers, ViewerAs } from "../book/readers.ts";
import type { StoredEntry } from "../book/stored-entry.ts";
import type { Step } from "./ledger.ts";

/** What a feed is to be told of its book. */
type Rules<Role extends string> = Pick<
  Readers<AnyBook, Role>,
  "sight" | "seatedBy" | "afterOwn" | "ownFirst"
>;

/**
 * What one viewer is sent, in order. A cursor is a place in this list, not in the book:
 * lines that were withheld come at its end when they are opened, so nobody learns from a gap what was written.
 */
export class Feed<Role extends string> {
  readonly viewer: ViewerAs<Role>;
  readonly #rules: Rules<Role>;
  readonly #lines: StoredEntry[] = [];
  readonly #ownFirst: OwnPartFirst<unknown>;
  readonly #afterOwn: OwnPartFirst<unknown> | undefined;
  /** The same person as the book seats them by now. */
  #seated: ViewerAs<Role>;

  constructor(rules: Rules<Role>, viewer: ViewerAs<Role>, steps: Iterable<Step> = []) {
    this.#rules = rules;
    this.viewer = viewer;
    this.#seated = viewer;
    this.#ownFirst = rules.ownFirst(viewer);
    this.#afterOwn = rules.afterOwn(viewer);
    for (const step of steps) this.take(step);
  }

  /** Takes the next step of the book; steps come in order, each once. */
  take({ stored, opened }: Step): void {
    this.#seated = this.#rules.seatedBy(this.viewer, stored.entry) ?? this.#seated;
    const seen = this.#rules.sight(this.#seated, stored.entry);
    if (seen === "now") this.#lines.push(stored);
    else if (typeof seen === "object" && "ownFirst" in seen)
      this.#ownFirst.close(stored, seen.ownFirst);
    for (const one of opened) this.#isOpened(one);
    this.#lines.push(...(this.#afterOwn?.open(stored) ?? []));
    this.#lines.push(...this.#ownFirst.open(stored));
  }

  #isOpened(stored: StoredEntry): void {
    const seen = this.#rules.sight(this.viewer, stored.entry);
    if (typeof seen !== "object" || !("waits" in seen)) return;
    if (this.#afterOwn) this.#afterOwn.close(stored, seen.waits);
    else this.#lines.push(stored);
  }

  get length(): number {
    return this.#lines.length;
  }
  /** The link of the chain at place `cursor`, in short: enough to tell one book from another. Undefined where there is no line. */
  linkAt(cursor: number): string | undefined {
    return this.#lines[cursor - 1]?.chain.slice(0, 16);
  }
  /** Lines after place `cursor`, at most `limit`. */
  after(cursor: number, limit = Number.POSITIVE_INFINITY): StoredEntry[] {
    return this.#lines.slice(cursor, Math.min(this.#lines.length, cursor + limit));
  }
}

/** The name of a feed: another hub, person or set of roles is another feed, and a cursor of the one means nothing in the other. */
export function feedId(hub: string, grading: string, { person, roles }: ViewerAs<string>): string {
  const name = JSON.stringify([hub, grading, person, [...new Set(roles)].sort()]);
  return bytesToHex(sha256(utf8ToBytes(name))).slice(0, 32);
}
