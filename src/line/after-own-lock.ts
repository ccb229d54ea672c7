import { type MarkedPlace, markedPlaceKey } from "../belt-test/kinds/marked-place.ts";
import { isKnown } from "../belt-test/scorebook/entry.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { PersonId } from "../book/identity.ts";
import type { StoredEntry } from "../book/stored-entry.ts";
import { waitsOf } from "./ledger.ts";

/**
 * What a judge is sent of others' marks: those of a child and section that this judge has locked too.
 * Whoever has not, such as one whose tablet was given up, or who came later, still marks without having seen them.
 * The same lines in the same order open the same, however often the hub was restarted.
 */
export class AfterOwnLock {
  readonly #judge: PersonId;
  readonly #locked = new Set<string>();
  #waiting: { stored: StoredEntry; waits: readonly MarkedPlace[] }[] = [];

  constructor(judge: PersonId) {
    this.#judge = judge;
  }

  /** @returns those of the opened lines, and of what waited, that this judge may be sent from this line on, oldest first. */
  take(entry: AnyEntry, opened: readonly StoredEntry[]): StoredEntry[] {
    const isOwnLock = isKnown(entry) && entry.kind === "locked" && entry.by === this.#judge;
    if (isOwnLock)
      for (const candidate of entry.body.candidates)
        this.#locked.add(markedPlaceKey({ candidate, section: entry.body.section }));
    if (!isOwnLock && opened.length === 0) return [];
    const all = [
      ...this.#waiting,
      ...opened.map((stored) => ({ stored, waits: waitsOf(stored.entry) ?? [] })),
    ];
    const isMine = ({ waits }: { waits: readonly MarkedPlace[] }) =>
      waits.every((place) => this.#locked.has(markedPlaceKey(place)));
    this.#waiting = all.filter((one) => !isMine(one));
    return all.filter(isMine).map(({ stored }) => stored);
  }
}
