import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import { isKnown } from "../belt-test/scorebook/entry.ts";
import { sight, type Viewer } from "../belt-test/scorebook/sight.ts";
import type { StoredEntry } from "../book/stored-entry.ts";
import { AfterOwnLock } from "./after-own-lock.ts";
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
  readonly #afterOwnLock: AfterOwnLock | undefined;
  /** A chief who is seated as a judge is one on every device, also on one let in as the chief's alone. */
  #seated: Viewer;

  constructor(viewer: Viewer, steps: Iterable<Step> = []) {
    this.viewer = viewer;
    this.#seated = viewer;
    this.#ownFirst = new OwnMarksFirst(viewer.person);
    // The chief is sent all that is open.
    if (!viewer.roles.includes("chief")) this.#afterOwnLock = new AfterOwnLock(viewer.person);
    for (const step of steps) this.take(step);
  }

  /** Takes the next step of the book; steps come in order, each once. */
  take({ stored, opened }: Step): void {
    this.#seat(stored);
    const seen = sight(this.#seated, stored.entry);
    if (seen === "now") this.#lines.push(stored);
    else if (typeof seen === "object" && "ownFirst" in seen)
      this.#ownFirst.close(stored, seen.ownFirst);
    const mine = opened.filter(({ entry }) => typeof sight(this.viewer, entry) === "object");
    this.#lines.push(...(this.#afterOwnLock?.take(stored.entry, mine) ?? mine));
    this.#lines.push(...this.#ownFirst.open(stored));
  }

  #seat({ entry }: StoredEntry): void {
    const { person, roles } = this.viewer;
    if (!isKnown(entry) || entry.kind !== "seated" || entry.body.person !== person) return;
    // Beside the chief's role the judge's only narrows; beside another it would widen.
    const isJudge = roles.includes("chief") && entry.body.roles.includes("judge");
    this.#seated = isJudge ? { person, roles: [...roles, "judge"] } : this.viewer;
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
export function feedId(hub: string, grading: string, { person, roles }: Viewer): string {
  const name = JSON.stringify([hub, grading, person, [...new Set(roles)].sort()]);
  return bytesToHex(sha256(utf8ToBytes(name))).slice(0, 32);
}
