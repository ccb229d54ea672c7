import type { EntryId } from "../../book/identity.ts";

/**
 * What others wrote, and a hub that was put back from an older copy has not said again. It leaves the book once the hub has said all it holds: no screen here
 * says more than a report on the hub's book. Who wrote it still has it, and hands it in.
 */
export class HeardAnew {
  /** Not said yet, while the hub says everything anew. */
  #unsaid: Set<EntryId> | undefined;
  readonly #lost: Set<EntryId>;
  readonly #hasLost: () => void;

  /** @param hasLost  something leaves the book */
  constructor(lost: readonly EntryId[] | undefined, hasLost: () => void) {
    this.#lost = new Set(lost);
    this.#hasLost = hasLost;
  }

  isLost(id: EntryId): boolean {
    return this.#lost.has(id);
  }
  /** Another tab may have heard what was lost. */
  lostAre(lost: readonly EntryId[] = []): void {
    if (this.#unsaid) return;
    this.#lost.clear();
    this.loses(lost);
  }
  /** These leave the book until the hub says them. @returns all that it has not said */
  loses(ids: Iterable<EntryId>): EntryId[] {
    for (const id of ids) this.#lost.add(id);
    this.#hasLost();
    return this.#missingBut([]);
  }
  /** The hub says everything anew. @returns what it has not said yet */
  begins(ids: readonly EntryId[]): EntryId[] {
    this.#unsaid = new Set(ids);
    return this.#missingBut([]);
  }
  hears(id: EntryId): void {
    this.#unsaid?.delete(id);
    this.#lost.delete(id);
  }
  /** What it has not said yet when it has said this; undefined where that is nothing new. */
  missingBehind(heard: readonly { id: EntryId }[]): EntryId[] | undefined {
    return heard.some(({ id }) => this.#unsaid?.has(id) || this.#lost.has(id))
      ? this.#missingBut(heard)
      : undefined;
  }
  /** It has said all it holds. */
  ends(): void {
    const unsaid = this.#unsaid;
    this.#unsaid = undefined;
    if (unsaid?.size) this.loses(unsaid);
  }
  #missingBut(heard: readonly { id: EntryId }[]): EntryId[] {
    const ids = new Set(heard.map(({ id }) => id));
    return [...(this.#unsaid ?? []), ...this.#lost].filter((id) => !ids.has(id));
  }
}
