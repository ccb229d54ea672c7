import { setImmediate as nextTurn } from "node:timers/promises";
import type { GradingId } from "../core/identity.ts";
import { type TitlePage, titlePage } from "../core/scorebook/title-page.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";

/** A belt test of this hub, as its chief's list shows it. */
export interface ShelvedGrading extends TitlePage {
  grading: GradingId;
  entries: number;
}

/** Title pages by grading; a book that has not grown since is not read again. */
export class TitlePages {
  readonly #store: ScorebookStore;
  readonly #read = new Map<GradingId, ShelvedGrading>();

  constructor(store: ScorebookStore) {
    this.#store = store;
  }

  async of(gradings: readonly GradingId[]): Promise<ShelvedGrading[]> {
    const counts = new Map(
      (await this.#store.gradings()).map(({ grading, entries }) => [grading, entries]),
    );
    const shelf: ShelvedGrading[] = [];
    for (const grading of gradings) {
      const entries = counts.get(grading) ?? 0;
      let known = this.#read.get(grading);
      if (known?.entries !== entries) {
        known = { grading, entries, ...titlePage(await this.#store.titleLines(grading)) };
        this.#read.set(grading, known);
        // Somebody may be marking: a long shelf is looked through one book at a time.
        await nextTurn();
      }
      shelf.push(known);
    }
    return shelf;
  }
}
