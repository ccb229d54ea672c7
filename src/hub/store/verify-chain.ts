import { entryDigest, FIRST_LINK, nextLink } from "./chain.ts";

/** An entry of a grading as the hub's store holds it, with what the chain needs. */
export interface ChainRow {
  seq: number;
  id: string;
  device: string;
  n: number;
  /** Canonical JSON (RFC 8785). */
  body: string;
  salt: string;
  digest: string;
  chain: string;
}

/** Where a chain first breaks. */
interface Break {
  seq: number;
  id: string;
  /**
   * `missing`: the places before it are not all there. `body`: it does not say any more what it said when it was written.
   * `columns`: it is filed under another id, device or number than it says. `link`: it does not follow what stands before it.
   */
  why: "missing" | "body" | "columns" | "link";
}

/** A chain from its first entry on: how long, its last link, and where it first breaks. */
export interface VerifiedChain {
  entries: number;
  /** The last link; `FIRST_LINK` of an empty chain. */
  head: string;
  broken: Break | null;
  /** Places whose link is `noted`: 1, 2, 3 …; null where the chain never had that head. */
  notedAt: number | null;
}

/**
 * Whether every entry still follows from all before it: takes each row once, oldest first.
 * A whole chain rewritten from some place on is sound in itself: only a head noted earlier, elsewhere, tells.
 *
 * @see RFC 8785 for the canonical JSON, FIPS 180-4 for SHA-256
 */
export class ChainCheck {
  readonly #noted: string | undefined;
  #head = FIRST_LINK;
  #entries = 0;
  #broken: Break | null = null;
  #notedAt: number | null = null;

  /** @param noted  a head that somebody wrote down earlier, as 64 hex figures */
  constructor(noted?: string) {
    this.#noted = noted;
  }

  take(row: ChainRow): void {
    this.#entries++;
    const why = this.#broken ? undefined : breakOf(row, this.#entries, this.#head);
    if (why) this.#broken = { seq: row.seq, id: row.id, why };
    this.#head = row.chain;
    if (!this.#broken && row.chain === this.#noted) this.#notedAt = this.#entries;
  }
  get result(): VerifiedChain {
    return {
      entries: this.#entries,
      head: this.#head,
      broken: this.#broken,
      notedAt: this.#notedAt,
    };
  }
}

/** The same of a chain that is in memory. */
export function verifyChain(rows: Iterable<ChainRow>): VerifiedChain {
  const check = new ChainCheck();
  for (const row of rows) check.take(row);
  return check.result;
}

/** An entry as it was written, or why its row is not what it was or not where it was. */
export function checkedRow(
  row: ChainRow,
  place: number,
  before: string,
): { entry: unknown } | { why: Break["why"] } {
  if (row.seq !== place) return { why: "missing" };
  if (entryDigest(row.salt, row.body) !== row.digest) return { why: "body" };
  if (nextLink(before, row.digest) !== row.chain) return { why: "link" };
  try {
    const entry = JSON.parse(row.body) as Partial<ChainRow> | null;
    const isFiled = entry?.id === row.id && entry.device === row.device && entry.n === row.n;
    return isFiled ? { entry } : { why: "columns" };
  } catch {
    return { why: "columns" };
  }
}

function breakOf(row: ChainRow, place: number, before: string): Break["why"] | undefined {
  const checked = checkedRow(row, place, before);
  return "why" in checked ? checked.why : undefined;
}
