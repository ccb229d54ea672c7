import { type EntryOf, isKnown } from "../../src/belt-test/scorebook/entry.ts";
import type { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";

interface Written {
  entry: EntryOf<"mark">;
  level: unknown;
}

/**
 * What stood of everybody's marks when a section was opened, worked out from the committed entries alone, in the order in which they came,
 * and held against what the book says of it ever after. Of what came first it takes the basis; no logical time decides anything.
 */
export class FinalAtOpening {
  /** By judge/candidate/section: of whose writes how many are final. */
  readonly #bases = new Map<string, Record<string, number>>();
  /** By candidate/section, then judge and cell. */
  readonly #writes = new Map<string, Map<string, Written[]>>();
  readonly #stood = new Map<string, string>();
  readonly #places = new Set<string>();
  readonly #followers = new Map<string, string>();
  /** judge/candidate/section, locked before it was open. */
  readonly #locked = new Set<string>();

  /** After each commit: whether anything is open now that was not. */
  look(isOpen: (place: string) => boolean): void {
    for (const place of this.#places)
      if (!this.#stood.has(place) && isOpen(place)) this.#stood.set(place, this.#standsAt(place));
  }
  committed(entry: AnyEntry): void {
    if (!isKnown(entry)) return;
    switch (entry.kind) {
      case "mark":
        for (const { candidate, criterion, level } of entry.body.cells) {
          const { section, item, side } = entry.body;
          const place = `${candidate}/${section}`;
          const cell = JSON.stringify([entry.by, item, side, criterion]);
          const cells = this.#writes.get(place) ?? new Map<string, Written[]>();
          this.#writes.set(place, cells);
          cells.set(cell, [...(cells.get(cell) ?? []), { entry, level }]);
          this.#places.add(place);
        }
        return;
      case "locked":
        for (const candidate of entry.body.candidates) {
          const key = `${entry.by}/${candidate}/${entry.body.section}`;
          if (!this.#stood.has(`${candidate}/${entry.body.section}`)) this.#locked.add(key);
          this.#offer(key, entry.body.basis);
        }
        return;
      case "held": {
        const { judge, candidate, section, basis } = entry.body;
        this.#offer(`${judge}/${candidate}/${section}`, basis);
        return;
      }
      case "judge-replaced":
        this.#followers.set(entry.body.judge, entry.body.by);
        return;
      default:
    }
  }
  #offer(key: string, basis: object): void {
    const [, candidate, section] = key.split("/");
    const isOpen = this.#stood.has(`${candidate}/${section}`);
    if (!isOpen && !this.#bases.has(key)) this.#bases.set(key, { ...basis });
  }

  #standsAt(place: string): string {
    const found: [judge: string, cell: string, level: unknown][] = [];
    for (const [cell, writes] of this.#writes.get(place) ?? []) {
      const [judge] = JSON.parse(cell) as [string];
      const basis = this.#bases.get(`${judge}/${place}`);
      const final = writes.filter(({ entry }) => entry.n <= (basis?.[entry.device] ?? 0));
      const level = newestOf(final)?.level;
      if (level !== undefined && level !== "cleared") found.push([judge, cell, level]);
    }
    return found
      .filter((one) => !found.some((other) => this.#isDouble(place, one, other)))
      .map(([, cell, level]) => `${cell}: ${level}`)
      .sort()
      .join(" ");
  }
  /** Where a place was given away before the opening, one word stands for both: that of whoever had locked it first, else the successor's. */
  #isDouble(
    place: string,
    [judge, cell]: [string, string, unknown],
    [other, its, level]: [string, string, unknown],
  ): boolean {
    const [, ...where] = JSON.parse(cell);
    const [, ...there] = JSON.parse(its);
    if (judge === other || JSON.stringify(where) !== JSON.stringify(there)) return false;
    const hasLocked = (one: string) => this.#locked.has(`${one}/${place}`);
    if (this.#isAfter(judge, other)) return !hasLocked(judge) && level !== "not-seen";
    return this.#isAfter(other, judge) && hasLocked(other);
  }
  /** Whether the second took the first one's place, or that of whoever had taken it. */
  #isAfter(judge: string, other: string): boolean {
    const seen = new Set([judge]);
    for (let next = this.#followers.get(judge); next && !seen.has(next); ) {
      if (next === other) return true;
      seen.add(next);
      next = this.#followers.get(next);
    }
    return false;
  }

  /** Places of which the book says something else now. */
  changed(book: Scorebook): string[] {
    return [...this.#stood].flatMap(([place, stood]) => {
      const [candidate, section] = place.split("/");
      const now = book.marks
        .of(candidate as never, "lock")
        .filter((mark) => mark.section === section)
        .map(
          ({ judge, item, side, criterion, level }) =>
            `${JSON.stringify([judge, item, side, criterion])}: ${level}`,
        )
        .sort()
        .join(" ");
      return now === stood ? [] : [`${place} stood at the opening as ${stood}, and is now ${now}`];
    });
  }
}

/** What nobody replaced, of each device the last, and of that the highest logical time. */
function newestOf(writes: readonly Written[]): Written | undefined {
  const replaced = new Set<string>(writes.flatMap(({ entry }) => entry.replaces ?? []));
  const last = writes.filter(
    ({ entry }) =>
      !writes.some((other) => other.entry.device === entry.device && other.entry.n > entry.n),
  );
  const byAge = (list: Written[]) =>
    list.sort(
      ({ entry: a }, { entry: b }) =>
        b.lamport - a.lamport || (a.device < b.device ? 1 : a.device > b.device ? -1 : b.n - a.n),
    );
  return byAge(last.filter(({ entry }) => !replaced.has(entry.id)))[0] ?? byAge([...writes])[0];
}
