/**
 * What one judge tapped, in the words on the glass: a line of cells for each entry there must be, and what stands in the end.
 * Kept by the judge who taps, from the plan alone; nothing in it is read from the app.
 */
export class Account {
  /** One list for each act, in the order of the taps; cells in the order of the alphabet. */
  readonly entries: string[][] = [];
  /** How many entries there must be: an act on several children is one for each, in a list one for each child and line. */
  lines = 0;
  readonly #stands = new Map<string, string>();
  readonly #before: { cells: Record<string, string>; lines: number }[] = [];

  /** @param cells  what each place says from now on: "2 Ben, Rising block, left side, chamber" → "Nearly". */
  writes(cells: Record<string, string>, isList = false): void {
    const places = Object.keys(cells);
    const children = new Set(places.map((place) => place.split(",")[0]));
    const lines = isList ? places.length : children.size;
    const before = Object.fromEntries(places.map((place) => [place, this.at(place)]));
    this.#before.push({ cells: before, lines });
    this.#put(cells, lines);
  }
  /** The last entry is taken back: every cell says what it said before. */
  undoes(): void {
    const before = this.#before.pop();
    if (!before) throw new Error("Account.undoes: nothing was written");
    this.#put(before.cells, before.lines);
  }
  locks(section: string, who: readonly string[]): void {
    this.entries.push(who.map((one) => `locks ${section}: ${one}`).sort());
    this.lines += who.length;
    this.#before.length = 0;
  }
  /** A word of its own, that marks nothing. */
  says(kind: string): void {
    this.entries.push([kind]);
    this.lines++;
    this.#before.length = 0;
  }
  at(place: string): string {
    return this.#stands.get(place) ?? "blank";
  }
  /** Every place that says something. */
  get standing(): Record<string, string> {
    return Object.fromEntries([...this.#stands].filter(([, says]) => says !== "blank"));
  }

  #put(cells: Record<string, string>, lines: number): void {
    this.lines += lines;
    this.entries.push(
      Object.entries(cells)
        .map(([place, says]) => `${place}: ${says}`)
        .sort(),
    );
    for (const [place, says] of Object.entries(cells)) this.#stands.set(place, says);
  }
}
