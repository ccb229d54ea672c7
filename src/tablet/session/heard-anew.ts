import type { EntryId } from "../../book/identity.ts";

/**
 * What others wrote, and a hub that was put back from an older copy has not said again. It leaves the book once the hub has said all it holds: no screen here
 * says more than a report on the hub's book. Who wrote it still has it, and hands it in.
 */
export class HeardAnew {
  /** Not said yet, while the hub says everything anew. */
  #unsaid: Set<EntryId> | undefined;
  readonly #lost: Set<EntryId>;

  constructor(lost: readonly EntryId[] = []) {
    this.#lost = new Set(lost);
  }

  get isUnderWay(): boolean {
    return this.#unsaid !== undefined;
  }
  isLost(id: EntryId): boolean {
    return this.#lost.has(id);
  }
  /** Where another tab heard what was lost. */
  lostAre(lost: readonly EntryId[]): void {
    this.#lost.clear();
    for (const id of lost) this.#lost.add(id);
  }
  loses(ids: readonly EntryId[]): void {
    for (const id of ids) this.#lost.add(id);
  }
  begins(ids: readonly EntryId[]): void {
    this.#unsaid = new Set(ids);
  }
  hears(id: EntryId): void {
    this.#unsaid?.delete(id);
    this.#lost.delete(id);
  }
  /** @returns what is lost or not said yet, but for these */
  missingBut(heard: readonly { id: EntryId }[]): EntryId[] {
    const ids = new Set(heard.map(({ id }) => id));
    return [...(this.#unsaid ?? []), ...this.#lost].filter((id) => !ids.has(id));
  }
  isNews(heard: readonly { id: EntryId }[]): boolean {
    return heard.some(({ id }) => this.#unsaid?.has(id) || this.#lost.has(id));
  }
  /** @returns whether anything was not said */
  ends(): boolean {
    const unsaid = this.#unsaid ?? new Set();
    for (const id of unsaid) this.#lost.add(id);
    this.#unsaid = undefined;
    return unsaid.size > 0;
  }
}
