import type { CriterionId } from "../core/identity.ts";
import { type AnyEntry, isKnown } from "../core/scorebook/entry.ts";
import type { Scorebook } from "../core/scorebook/scorebook.ts";
import type { Coverage } from "./protocol.ts";

/**
 * Who has marked what, for people who may know that but not which level.
 * Built from the marks in any order; a cell that was cleared is no longer marked.
 */
export class CoverageBoard {
  readonly #places = new Map<string, { coverage: Coverage; criteria: Set<CriterionId> }>();

  /** Notes an entry that is in `book` already. @returns the places whose coverage it touched, as they stand now. */
  note(book: Scorebook, entry: AnyEntry): Coverage[] {
    if (!isKnown(entry) || entry.kind !== "mark") return [];
    const { section, item, side, cells } = entry.body;
    const judge = entry.by;
    const touched = new Set<string>();
    for (const { candidate, criterion } of cells) {
      const key = `${judge}/${candidate}/${section}/${item ?? ""}/${side ?? ""}`;
      let place = this.#places.get(key);
      if (!place) {
        const coverage = { judge, candidate, section, item, side, marked: [], notSeen: [] };
        place = { coverage, criteria: new Set() };
        this.#places.set(key, place);
      }
      place.criteria.add(criterion);
      touched.add(key);
    }
    return [...touched].flatMap((key) => {
      const place = this.#places.get(key);
      if (!place) return [];
      const { candidate } = place.coverage;
      const marked: CriterionId[] = [];
      const notSeen: CriterionId[] = [];
      for (const criterion of place.criteria) {
        const write = book.cell(judge, candidate, { section, item, side, criterion });
        if (write?.level === "not-seen") notSeen.push(criterion);
        else if (write) marked.push(criterion);
      }
      place.coverage = { ...place.coverage, marked: marked.sort(), notSeen: notSeen.sort() };
      return [place.coverage];
    });
  }

  /** Everything, for somebody who has just come in. */
  all(): Coverage[] {
    return [...this.#places.values()].map(({ coverage }) => coverage);
  }
}
