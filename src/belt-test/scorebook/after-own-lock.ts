import type { PersonId } from "../../book/identity.ts";
import type { OwnPartFirst } from "../../book/readers.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { type MarkedPlace, markedPlaceKey } from "../kinds/marked-place.ts";
import { isKnown } from "./entry.ts";

/**
 * What a judge is sent of others' marks: those of a child and section that this judge has locked too.
 * Whoever has not, such as one whose tablet was given up, or who came later, still marks without having seen them.
 */
export class AfterOwnLock implements OwnPartFirst<readonly MarkedPlace[]> {
  readonly #judge: PersonId;
  readonly #locked = new Set<string>();
  #waiting: { stored: StoredEntry; waits: readonly MarkedPlace[] }[] = [];
  /** Since the last line that was taken note of. */
  #hasNew = false;

  constructor(judge: PersonId) {
    this.#judge = judge;
  }

  close(stored: StoredEntry, waits: readonly MarkedPlace[]): void {
    this.#waiting.push({ stored, waits });
    this.#hasNew = true;
  }

  open({ entry }: StoredEntry): StoredEntry[] {
    const isOwnLock = isKnown(entry) && entry.kind === "locked" && entry.by === this.#judge;
    if (isOwnLock)
      for (const candidate of entry.body.candidates)
        this.#locked.add(markedPlaceKey({ candidate, section: entry.body.section }));
    if (!isOwnLock && !this.#hasNew) return [];
    this.#hasNew = false;
    const all = this.#waiting;
    const isMine = ({ waits }: { waits: readonly MarkedPlace[] }) =>
      waits.every((place) => this.#locked.has(markedPlaceKey(place)));
    this.#waiting = all.filter((one) => !isMine(one));
    return all.filter(isMine).map(({ stored }) => stored);
  }
}
