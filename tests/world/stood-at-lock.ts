import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { type EntryOf, isKnown } from "../../src/belt-test/scorebook/entry.ts";
import { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";

/**
 * Writes down, when a lock is on the hub's disk and its section open, what then stood of its judge's marks; what stood must stand at the day's end.
 * The moment of the reveal is the first at which anybody could have been led by it.
 */
export class StoodAtLock {
  readonly book = new Scorebook();
  readonly #stood: Map<string, string>;
  /** Places that were open in a lost book, and the chief had not heard so: whoever then opens them by hand opens them for the first time. */
  readonly #unheard: ReadonlySet<string>;

  constructor(
    stood: ReadonlyMap<string, string> = new Map(),
    unheard: ReadonlySet<string> = new Set(),
  ) {
    this.#stood = new Map(stood);
    this.#unheard = unheard;
  }
  /**
   * The book is an older one: what stood in the lost one is to stand again in the end, but where the hub went down before anybody had heard what it held.
   * @param known  entries that the chief's tablets have
   */
  afterRestore(known: ReadonlySet<string>): StoodAtLock {
    const stood = new Map(this.#stood);
    // What had changed before is no copy's doing.
    for (const [key, before] of stood) {
      const [candidate, section] = key.split("/") as [CandidateId, SectionId];
      if (marksOf(this.book, candidate, section) !== before) stood.set(key, UNKNOWN);
    }
    for (const entry of this.book.entries())
      if (isKnown(entry) && entry.kind === "held" && !known.has(entry.id))
        stood.set(`${entry.body.candidate}/${entry.body.section}`, UNKNOWN);
    const unheard = new Set<string>();
    for (const { id, kind, body } of this.book.entries() as Iterable<EntryOf<"locked">>)
      if (kind === "locked" && !known.has(id))
        for (const candidate of body.candidates) unheard.add(`${candidate}/${body.section}`);
    return new StoodAtLock(stood, unheard);
  }

  /** What came to the disk together: an opening, and what the hub held beside it. */
  committed(entries: readonly AnyEntry[]): void {
    for (const entry of entries) this.book.add(entry);
    for (const { kind, body } of entries as readonly EntryOf<"revealed">[])
      for (const candidate of kind === "revealed" ? body.candidates : []) {
        const key = `${candidate}/${body.section}`;
        if (this.#unheard.has(key)) this.#stood.set(key, UNKNOWN);
      }
    if (!entries.some(({ kind }) => mayOpen.has(kind))) return;
    for (const { candidate } of this.book.plan.entrants)
      for (const { id: section } of this.book.plan.rubricOf(candidate)?.sections ?? []) {
        const key = `${candidate}/${section}`;
        if (this.#stood.has(key) || !this.book.openings.isRevealed(candidate, section)) continue;
        this.#stood.set(key, marksOf(this.book, candidate, section));
      }
  }
  /** Places, candidate/section, of which something else stands now. */
  changed(book: Scorebook): string[] {
    return [...this.#stood].flatMap(([key, stood]) => {
      const [candidate, section] = key.split("/") as [CandidateId, SectionId];
      const now = marksOf(book, candidate, section);
      return now === stood || stood === UNKNOWN ? [] : [`${key}: ${stood} is now ${now}`];
    });
  }
}

/** What stood there is not to be told any more. */
const UNKNOWN = "unknown";

const mayOpen: ReadonlySet<string> = new Set([
  ...["locked", "revealed", "closed", "recused", "judge-replaced", "assigned"],
]);
const marksOf = (book: Scorebook, candidate: CandidateId, section: SectionId): string =>
  book.marks
    .of(candidate, "lock")
    .filter((mark) => mark.section === section)
    .map((mark) => JSON.stringify([mark.judge, mark.item, mark.side, mark.criterion, mark.level]))
    .sort()
    .join(" ");
