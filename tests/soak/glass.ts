/** A place on a judge's board that can be tapped: its cell, and what the cell says then. */
export interface Zone {
  x: number;
  y: number;
  cell: string;
  state: string;
}

/**
 * What a judge was shown of each cell, over all lives of a browser.
 * A cell may afterwards say what it was last shown to keep, or what a later tap asked for: a tap may reach the disk and not the glass.
 */
export class Glass {
  readonly #kept = new Map<string, string>();
  readonly #asked = new Map<string, Set<string>>();
  shownAsKept = 0;
  /** What was found otherwise, in words. */
  readonly lost: string[] = [];

  /** @returns false when the cell was last asked for the same: a second tap of a level takes it back. */
  taps({ cell, state }: Zone): boolean {
    const asked = this.#asked.get(cell) ?? new Set();
    const last = [...asked].at(-1) ?? this.#kept.get(cell);
    if (last === state) return false;
    // A tap between may have come while the board was deaf; then this one is a second tap of what stands, and takes it back.
    if (asked.has(state) || this.#kept.get(cell) === state) asked.add("blank");
    asked.delete(state);
    this.#asked.set(cell, asked.add(state));
    return true;
  }

  /** The glass changed a cell's label. */
  shows(label: string): void {
    const { cell, state, isKept } = read(label);
    if (!isKept) return;
    if (state !== "blank") this.shownAsKept++;
    this.#kept.set(cell, state);
    const asked = [...(this.#asked.get(cell) ?? [])];
    // What was asked before it no longer counts.
    this.#asked.set(cell, new Set(asked.slice(asked.indexOf(state) + 1)));
  }

  /** The board as it stands when the app is opened again. */
  opensWith(labels: readonly string[]): void {
    for (const label of labels) {
      const { cell, state } = read(label);
      const kept = this.#kept.get(cell);
      const isKnown = state === kept || this.#asked.get(cell)?.has(state);
      if (!isKnown && kept !== undefined)
        this.lost.push(`${cell}: ${kept} was kept, says ${state}`);
      this.#kept.set(cell, state);
      this.#asked.delete(cell);
    }
  }
}

/** “1 Anya, chamber: meets, not saved yet” */
function read(label: string): { cell: string; state: string; isKept: boolean } {
  const [cell = "", said = ""] = label.split(": ");
  const state = said.replace(/, not saved yet$/, "");
  return { cell, state, isKept: state === said };
}
