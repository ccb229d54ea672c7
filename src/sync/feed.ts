import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import { sight, type Viewer } from "../core/scorebook/sight.ts";
import type { StoredEntry } from "../ports/scorebook-store.ts";
import type { Step } from "./ledger.ts";
import { OwnMarksFirst } from "./own-marks-first.ts";

/**
 * What one viewer is sent, in order. A cursor is a place in this list, not in the book:
 * marks that were withheld come at its end when they are opened, so nobody learns from a gap what was written.
 */
export class Feed {
  readonly viewer: Viewer;
  readonly #lines: StoredEntry[] = [];
  readonly #ownFirst: OwnMarksFirst;

  constructor(viewer: Viewer, steps: Iterable<Step> = []) {
    this.viewer = viewer;
    this.#ownFirst = new OwnMarksFirst(viewer.person);
    for (const step of steps) this.take(step);
  }

  /** Takes the next step of the book; steps come in order, each once. */
  take({ stored, opened }: Step): void {
    const seen = sight(this.viewer, stored.entry);
    if (seen === "now") this.#lines.push(stored);
    else if (typeof seen === "object" && "ownFirst" in seen)
      this.#ownFirst.close(stored, seen.ownFirst);
    for (const line of opened)
      if (typeof sight(this.viewer, line.entry) === "object") this.#lines.push(line);
    this.#lines.push(...this.#ownFirst.open(stored));
  }

  get length(): number {
    return this.#lines.length;
  }
  /** Lines after place `cursor`, at most `limit`. */
  after(cursor: number, limit = Number.POSITIVE_INFINITY): StoredEntry[] {
    return this.#lines.slice(cursor, Math.min(this.#lines.length, cursor + limit));
  }
}

/** The name of a feed: another hub, person or set of roles is another feed, and a cursor of the one means nothing in the other. */
export function feedId(hub: string, grading: string, { person, roles }: Viewer): string {
  const name = JSON.stringify([hub, grading, person, [...new Set(roles)].sort()]);
  return bytesToHex(sha256(utf8ToBytes(name))).slice(0, 32);
}
