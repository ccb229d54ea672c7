/**
 * Normal chance from uniform chance, two at a time.
 * Source: Marsaglia & Bray 1964, doi:10.1137/1006063 (polar method).
 */
export function normalFrom(chance: () => number): () => number {
  let spare: number | null = null;
  return () => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    for (;;) {
      const a = 2 * chance() - 1;
      const b = 2 * chance() - 1;
      const square = a * a + b * b;
      if (square === 0 || square >= 1) continue;
      const stretch = Math.sqrt((-2 * Math.log(square)) / square);
      spare = b * stretch;
      return a * stretch;
    }
  };
}
