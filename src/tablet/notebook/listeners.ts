/** Whoever hears of something, until they say that they have heard enough. */
export class Listeners<What extends unknown[]> {
  readonly #all = new Set<(...what: What) => void>();

  /** @returns a function that ends it */
  add(listener: (...what: What) => void): () => void {
    this.#all.add(listener);
    return () => this.#all.delete(listener);
  }
  tell(...what: What): void {
    for (const listener of this.#all) listener(...what);
  }
}
