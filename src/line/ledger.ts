import { kindsThatAre } from "../belt-test/kinds/all-kinds.ts";
import { type MarkedPlace, markedPlaceKey } from "../belt-test/kinds/marked-place.ts";
import { isAway } from "../belt-test/scorebook/presence.ts";
import { Scorebook } from "../belt-test/scorebook/scorebook.ts";
import { sight } from "../belt-test/scorebook/sight.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { PersonId } from "../book/identity.ts";
import type { StoredEntry } from "../book/stored-entry.ts";

/** What one more line of the book makes visible. */
export interface Step {
  stored: StoredEntry;
  /** Marks that were closed and are open from this line on, oldest first; this line itself may be among them. */
  opened: readonly StoredEntry[];
}

/** A judge who is nobody: what this one must wait for, every judge but the writer must wait for. */
const stranger = { person: "" as PersonId, roles: ["judge"] as const };

/**
 * A book read line by line in the order of its places, noting at which line each closed mark was opened.
 * The same lines in the same order give the same steps, however they were grouped and however often the hub was restarted.
 * Once opened stays opened, whoever joins the panel later.
 */
export class Ledger {
  readonly book = new Scorebook();
  readonly steps: Step[] = [];
  readonly #closed = new Map<number, { stored: StoredEntry; waits: readonly MarkedPlace[] }>();
  #lastUnsealed: StoredEntry | undefined;

  /** The newest line at which nothing lay under seal: its place in the book tells nobody how many marks are closed. */
  get lastUnsealed(): StoredEntry | undefined {
    return this.#lastUnsealed;
  }

  /** @throws RangeError when a line is missing: a feed with a hole would be wrong for ever. */
  add(stored: StoredEntry): Step {
    if (stored.seq !== this.steps.length + 1)
      throw new RangeError(`Ledger.add: place ${stored.seq} after ${this.steps.length}`);
    this.book.add(stored.entry);
    const waits = waitsOf(stored.entry);
    if (waits) this.#closed.set(stored.seq, { stored, waits });
    const step = { stored, opened: this.#open(stored.entry, stored.seq) };
    this.steps.push(step);
    if (this.#closed.size === 0) this.#lastUnsealed = stored;
    return step;
  }

  #open(entry: AnyEntry, seq: number): StoredEntry[] {
    const own = this.#closed.get(seq);
    // A lock is closed itself until the last one comes, which opens them all.
    if (!mayOpen.has(entry.kind)) return own && this.#take(own, new Map()) ? [own.stored] : [];
    const asked = new Map<string, boolean>();
    return [...this.#closed.values()]
      .filter((closed) => this.#take(closed, asked))
      .map(({ stored }) => stored);
  }

  #take(
    closed: { stored: StoredEntry; waits: readonly MarkedPlace[] },
    asked: Map<string, boolean>,
  ): boolean {
    // Of several children, as old books have them, those who take no part any more let nobody wait; what is of them alone waits for the closing.
    const here = closed.waits.filter(
      ({ candidate }) => !isAway(this.book.floor.presence(candidate)),
    );
    const isOpen = (here.length > 0 ? here : closed.waits).every((place) => {
      const key = markedPlaceKey(place);
      let revealed = asked.get(key);
      if (revealed === undefined) {
        revealed =
          this.book.plan.isClosed || this.book.openings.isRevealed(place.candidate, place.section);
        asked.set(key, revealed);
      }
      return revealed;
    });
    if (isOpen) this.#closed.delete(closed.stored.seq);
    return isOpen;
  }
}

/** The kinds that can make the last missing lock unnecessary, or give it. */
const mayOpen = kindsThatAre("may-open");

/** What an entry must be opened in before anybody but its writer is sent it; undefined for what nobody waits for. */
export function waitsOf(entry: AnyEntry): readonly MarkedPlace[] | undefined {
  const seen = sight(stranger, entry);
  return typeof seen === "object" && "waits" in seen ? seen.waits : undefined;
}
