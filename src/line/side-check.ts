import type { AnyEntry } from "../book/entry.ts";
import type { EntryId, SideRecordId, TextRef } from "../book/identity.ts";
import type { SideRecord } from "../book/side-record.ts";
import {
  type AroundEntry,
  type FiledSide,
  namedBy,
  type SideFault,
  type SideRules,
} from "../book/side-rules.ts";
import { sideDigest } from "./make-side-record.ts";
import { refsIn } from "./refs-in.ts";

/**
 * What is wrong with one name or text of a book. `missing`: an entry refers to it, it is not here, and nobody it names is erased.
 * `wordless`: the same, or a wrong one, of an entry that is taken whatever it refers to. `stray`: no entry refers to it.
 */
export interface SideFinding {
  id: SideRecordId;
  why: SideFault | "missing" | "wordless" | "stray";
  /** The entry that refers to it; undefined for a stray. */
  entry: EntryId | undefined;
}
interface Reference {
  entry: AnyEntry;
  ref: TextRef;
}

/**
 * Compares the names and texts of one book with what its entries say of them: taken in any order, asked at any time.
 * Keeps of the entries only those that may refer to something.
 */
export class SideCheck implements AroundEntry {
  readonly #rules: SideRules;
  readonly #filed = new Map<SideRecordId, FiledSide>();
  readonly #references = new Map<SideRecordId, Reference[]>();
  readonly #entries = new Map<EntryId, AnyEntry>();
  readonly #seated = new Set<string>();
  readonly #erased = new Set<string>();
  /** What was asked before: a hub asks with every commit. */
  readonly #true = new Map<SideRecordId, boolean>();

  constructor(rules: SideRules) {
    this.#rules = rules;
  }

  note(entry: AnyEntry): void {
    if (this.#rules.isWordless(entry)) return;
    this.#entries.set(entry.id, entry);
    const seated = this.#rules.seatedIn(entry);
    if (seated !== undefined) {
      this.#seated.add(seated);
      this.#true.clear();
    }
    const erased = this.#rules.erasedIn(entry);
    if (erased !== undefined) this.#erased.add(erased);
    for (const ref of refsIn(entry)) {
      // What one line vouches for no other line takes back, and however many point at it are not asked again.
      if (this.#true.get(ref.id) !== true) this.#true.delete(ref.id);
      const known = this.#references.get(ref.id);
      if (known) known.push({ entry, ref });
      else this.#references.set(ref.id, [{ entry, ref }]);
    }
  }
  take(record: SideRecord): void {
    const { id, grading, about, kind } = record;
    this.#true.delete(id);
    this.#filed.set(id, { grading, about, kind, digest: sideDigest(record) });
  }
  drop(id: SideRecordId): void {
    this.#true.delete(id);
    this.#filed.delete(id);
  }
  isSeated(person: string): boolean {
    return this.#seated.has(person);
  }
  entry(id: EntryId): AnyEntry | undefined {
    return this.#entries.get(id);
  }
  /** How many names and texts entries refer to. */
  get named(): number {
    return this.#named().length;
  }
  /** How many of them are not here. */
  get gone(): number {
    return this.#named().filter((id) => !this.#filed.has(id)).length;
  }
  /** What next year's kinds name may be anything. */
  #named(): SideRecordId[] {
    const isWord = ({ entry }: Reference) => this.#rules.hasWords(entry);
    return [...this.#references].flatMap(([id, references]) =>
      references.some(isWord) ? [id] : [],
    );
  }

  /** Whether a record is what some entry refers to: only then is it shown to anybody. */
  isTrue(id: SideRecordId): boolean {
    const filed = this.#filed.get(id);
    if (!filed) return false;
    let isTrue = this.#true.get(id);
    if (isTrue === undefined) {
      const references = this.#references.get(id) ?? [];
      isTrue = references.some(
        ({ entry, ref }) => this.#rules.faultOf(entry, ref, filed, this) === null,
      );
      this.#true.set(id, isTrue);
    }
    return isTrue;
  }
  /**
   * Of these erased people, with whom a record goes: the one it is about; of one that is wrongly filed, one of whom its entry speaks.
   * @returns undefined where it stays.
   */
  goesWith(id: SideRecordId, erased: ReadonlySet<string>): string | undefined {
    const filed = this.#filed.get(id);
    if (!filed) return undefined;
    if (erased.has(filed.about)) return filed.about;
    if (this.isTrue(id)) return undefined;
    const references = this.#references.get(id) ?? [];
    return references
      .flatMap(({ entry }) => namedBy(this.#rules, entry))
      .find((one) => erased.has(one));
  }

  /** @param erasedBefore  who is erased besides the book. */
  findings(erasedBefore: Iterable<string> = []): SideFinding[] {
    const erased = new Set([...this.#erased, ...erasedBefore]);
    const found: SideFinding[] = [];
    for (const [id, references] of this.#references) {
      const filed = this.#filed.get(id);
      if (!filed) {
        // What next year's kinds refer to is not asked for when they are taken.
        const lacking = references.find(
          ({ entry }) =>
            this.#rules.isKnown(entry) &&
            !namedBy(this.#rules, entry).some((one) => erased.has(one)),
        );
        const why = lacking && this.#rules.isAsked(lacking.entry) ? "missing" : "wordless";
        if (lacking) found.push({ id, why, entry: lacking.entry.id });
        continue;
      }
      for (const { entry, ref } of references) {
        const why = this.#rules.faultOf(entry, ref, filed, this);
        // Nobody is to make a whole record look changed by a line that points at a name.
        const isOthers = why !== null && !this.#rules.isAsked(entry) && this.isTrue(id);
        if (why) found.push({ id, why: isOthers ? "wordless" : why, entry: entry.id });
      }
    }
    for (const id of this.#filed.keys())
      if (!this.#references.has(id)) found.push({ id, why: "stray", entry: undefined });
    return found;
  }
}

/** Whether a finding means that names or texts were changed, exchanged, put in or taken out. */
export const isUnsound = ({ why }: SideFinding): boolean => why !== "wordless";
