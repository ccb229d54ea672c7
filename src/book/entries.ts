import type { EntryId, PersonId } from "./identity.ts";
import type { Stamp } from "./order.ts";

/** The entries of a book, each once, whatever they say; and how far each count has come. */
export class Entries<Entry extends Stamp & { id: EntryId; by: PersonId }> {
  readonly #byId = new Map<EntryId, Entry>();
  readonly #counts = new Map<string, number>();
  /** Of every count who wrote in it. */
  readonly #writers = new Set<string>();
  readonly #tellsOfCount: (entry: Entry) => boolean;
  #lamport = 0;

  /** @param tellsOfCount  whether an entry's place in its count says that what is below was there to be seen */
  constructor(tellsOfCount: (entry: Entry) => boolean) {
    this.#tellsOfCount = tellsOfCount;
  }

  /** @returns false when this entry was here already. */
  add(entry: Entry): boolean {
    if (this.#byId.has(entry.id)) return false;
    this.#byId.set(entry.id, entry);
    this.#lamport = Math.max(this.#lamport, entry.lamport);
    this.#writers.add(`${entry.device}/${entry.by}`);
    if (this.#tellsOfCount(entry))
      this.#counts.set(entry.device, Math.max(this.countOf(entry.device), entry.n));
    return true;
  }
  get(id: EntryId): Entry | undefined {
    return this.#byId.get(id);
  }
  all(): IterableIterator<Entry> {
    return this.#byId.values();
  }
  get size(): number {
    return this.#byId.size;
  }
  /** The highest logical time that anybody wrote. */
  get lamport(): number {
    return this.#lamport;
  }
  /** How far a count has come; 0 for one that nobody heard of. */
  countOf(count: string): number {
    return this.#counts.get(count) ?? 0;
  }
  get counts(): Record<string, number> {
    return Object.fromEntries(this.#counts);
  }
  hasWrittenIn(count: string, person: PersonId): boolean {
    return this.#writers.has(`${count}/${person}`);
  }
}
