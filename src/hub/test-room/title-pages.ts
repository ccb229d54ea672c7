import { setImmediate as nextTurn } from "node:timers/promises";
import { type TitlePage, titlePage } from "../../belt-test/scorebook/title-page.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { GradingId } from "../../book/identity.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";

/** A belt test of this hub, as its chief's list shows it. */
export interface ShelvedGrading extends TitlePage {
  grading: GradingId;
  /** How many lines it has: of a closed test only. Of one that runs it would tell how often judges have tapped. */
  entries?: number;
}

/** Title pages by grading: a shelf is looked along without opening a book, where the store can do that. */
export class TitlePages {
  readonly #store: ScorebookStore;

  constructor(store: ScorebookStore) {
    this.#store = store;
  }

  async of(gradings: readonly GradingId[]): Promise<ShelvedGrading[]> {
    const counts = new Map(
      (await this.#store.gradings()).map(({ grading, entries }) => [grading, entries]),
    );
    const lines = (await this.#store.titleLines?.()) ?? (await this.#readAll(counts.keys()));
    const byGrading = new Map<GradingId, AnyEntry[]>();
    for (const entry of lines) {
      const its = byGrading.get(entry.grading);
      if (its) its.push(entry);
      else byGrading.set(entry.grading, [entry]);
    }
    return gradings.map((grading) => {
      const page = titlePage(byGrading.get(grading) ?? []);
      const isClosed = page.state === "closed";
      return { grading, ...page, ...(isClosed && { entries: counts.get(grading) ?? 0 }) };
    });
  }

  async #readAll(gradings: Iterable<GradingId>): Promise<AnyEntry[]> {
    const all: AnyEntry[] = [];
    for (const grading of gradings) {
      for (const { entry } of await this.#store.read(grading, 0)) all.push(entry);
      // Somebody may be marking: a shelf of old books is read one at a time.
      await nextTurn();
    }
    return all;
  }
}
