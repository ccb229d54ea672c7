import type { Effects } from "./absorbed.ts";
import type { Layout } from "./layout.ts";
import type { Term } from "./term.ts";

/** Where each level of a term stands in the equations. */
export interface TermRows {
  part: keyof Effects;
  places: Int32Array;
}

export function rowsOfTerms(layout: Layout, terms: readonly Term[]): TermRows[] {
  return terms.map((term): TermRows => {
    if (term === layout.first)
      return { part: "first", places: Int32Array.from({ length: term.levels }, (_, l) => l) };
    const inside = layout.inner.find((one) => one.term === term);
    if (inside) return { part: "inner", places: inside.place };
    const start = layout.border.find((one) => one.term === term)?.start ?? 0;
    return {
      part: "border",
      places: Int32Array.from({ length: term.levels }, (_, l) => start + l),
    };
  });
}
