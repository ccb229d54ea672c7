import type { Term } from "./term.ts";

/**
 * Where each effect stands in the mixed-model equations, so that the large ones can be absorbed cheaply.
 *
 * One factor is the hub (mostly the candidate). The largest term with the hub in it is absorbed first: its levels never meet each other.
 * Then the other terms with the hub: their levels meet only within one level of the hub, a small block each.
 * What is left, the border, is solved whole: terms without the hub, and the fixed effects, last.
 */
export interface Layout {
  first: Term;
  /** Block (level of the hub) of each level of `first`. */
  blockOfFirst: Int32Array;
  /** Terms inside the blocks; `place[level]` is the row within all block rows, in block `block[level]`. */
  inner: { term: Term; place: Int32Array; block: Int32Array }[];
  blocks: { start: number; size: number }[];
  innerRows: number;
  border: { term: Term; start: number; isFixed: boolean }[];
  borderRows: number;
  fixedStart: number;
}

/** @param fixed effects estimated as they are; each leaves out its first level, since an intercept is always there. */
export function layoutOf(random: readonly Term[], fixed: readonly Term[]): Layout {
  const [hub, first] = cheapest(random);
  const blockOf = (term: Term) => {
    const hubCodes = hub.codes;
    const block = new Int32Array(term.levels);
    for (let i = 0; i < term.codes.length; i++)
      block[term.codes[i] as number] = hubCodes[i] as number;
    return block;
  };
  const hasHub = (term: Term) => term.factors.includes(hub.name);
  const inside = random.filter((term) => hasHub(term) && term !== first);
  const blocks = Array.from({ length: hub.levels }, () => ({ start: 0, size: 0 }));
  const blocksInside = inside.map(blockOf);
  for (const block of blocksInside) for (const b of block) (blocks[b] as { size: number }).size++;
  let innerRows = 0;
  for (const block of blocks) {
    block.start = innerRows;
    innerRows += block.size;
  }
  const next = Int32Array.from(blocks, ({ start }) => start);
  const inner = inside.map((term, t) => ({
    term,
    block: blocksInside[t] as Int32Array,
    place: (blocksInside[t] as Int32Array).map((b) => {
      const row = next[b] as number;
      next[b] = row + 1;
      return row;
    }),
  }));
  let borderRows = 0;
  const border: Layout["border"] = [];
  for (const term of random.filter((one) => one !== first && !hasHub(one))) {
    border.push({ term, start: borderRows, isFixed: false });
    borderRows += term.levels;
  }
  const fixedStart = borderRows;
  borderRows += 1;
  for (const term of fixed) {
    // Its first level has no row: `start` is one before the second's.
    border.push({ term, start: borderRows - 1, isFixed: true });
    borderRows += term.levels - 1;
  }
  return {
    first,
    blockOfFirst: blockOf(first),
    inner,
    blocks,
    innerRows,
    border,
    borderRows,
    fixedStart,
  };
}

/** The hub that leaves the smallest border. A term of one factor numbers the hub's levels; any term with it will do to find it. */
function cheapest(random: readonly Term[]): [Term, Term] {
  let best: { hub: Term; first: Term; border: number } | undefined;
  for (const hub of random.filter(({ factors }) => factors.length === 1)) {
    const withHub = random.filter(({ factors }) => factors.includes(hub.name));
    const first = withHub.reduce((most, term) => (term.levels > most.levels ? term : most));
    const border = random
      .filter((term) => !withHub.includes(term))
      .reduce((sum, term) => sum + term.levels, 0);
    if (!best || border < best.border) best = { hub, first, border };
  }
  if (best) return [best.hub, best.first];
  // No single factor is random by itself: the largest term is its own hub.
  const first = random.reduce((most, term) => (term.levels > most.levels ? term : most));
  return [first, first];
}
