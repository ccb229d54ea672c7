import { useCallback, useSyncExternalStore } from "react";
import type { CellMark } from "./board-data.ts";

/** What a cell shows over what the board last drew there. */
export interface Wet {
  /** The level just written, undefined where a mark was taken off; absent where only the underline went. */
  written?: { level: CellMark["level"] | undefined };
  newest: boolean;
}

export const cellKey = (column: number, row: number): string => `${column} ${row}`;

/**
 * A tap draws its own cell at once and nothing else; the board around it (rail, lanes, counts) follows when the disk has
 * answered. Until then what was written lies here, over what the board drew last. It dries when the board draws again.
 */
export class WetInk {
  readonly #wet = new Map<string, Wet>();
  readonly #cells = new Map<string, () => void>();
  #newest: string | undefined;

  /** @param before  the cell that wears the board's underline of the newest mark */
  write(cell: string, level: CellMark["level"] | undefined, before: string | undefined): void {
    const last = this.#newest ?? before;
    if (last !== undefined && last !== cell) this.#put(last, { ...this.of(last), newest: false });
    this.#newest = cell;
    this.#put(cell, { written: { level }, newest: true });
  }

  /** The board has drawn everything anew. */
  dry(): void {
    if (this.#wet.size === 0) return;
    const cells = [...this.#wet.keys()];
    this.#wet.clear();
    this.#newest = undefined;
    for (const cell of cells) this.#cells.get(cell)?.();
  }

  of(cell: string): Wet | undefined {
    return this.#wet.get(cell);
  }

  /** One listener a cell: the cell itself. */
  listen(cell: string, changed: () => void): () => void {
    this.#cells.set(cell, changed);
    return () => {
      if (this.#cells.get(cell) === changed) this.#cells.delete(cell);
    };
  }

  #put(cell: string, wet: Wet): void {
    this.#wet.set(cell, wet);
    this.#cells.get(cell)?.();
  }
}

/** What lies wet on this cell; undefined where it shows what the board drew. */
export function useWet(ink: WetInk, cell: string): Wet | undefined {
  return useSyncExternalStore(
    useCallback((changed: () => void) => ink.listen(cell, changed), [ink, cell]),
    () => ink.of(cell),
  );
}
