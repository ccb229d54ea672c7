import { leapIn } from "../../book/lamport-leap.ts";
import { isReadableJson } from "../../book/plain-json.ts";
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
   * `unsaid`: it is nothing that anybody could have handed in, and would break whoever reads it. `ahead`: after it nobody could write any more.
   */
  why: "missing" | "body" | "columns" | "link" | "unsaid" | "ahead";
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
  readonly #times: { seq: number; id: string; lamport: number }[] = [];

  /** @param noted  a head that somebody wrote down earlier, as 64 hex figures */
  constructor(noted?: string) {
    this.#noted = noted;
  }

  take(row: ChainRow): void {
    this.#entries++;
    if (!this.#broken) this.#look(row);
    this.#head = row.chain;
    if (!this.#broken && row.chain === this.#noted) this.#notedAt = this.#entries;
  }
  #look(row: ChainRow): void {
    const checked = checkedRow(row, this.#entries, this.#head);
    const { seq, id } = row;
    if ("why" in checked) this.#broken = { seq, id, why: checked.why };
    else this.#times.push({ seq, id, lamport: lamportOf(checked.entry) });
  }
  get result(): VerifiedChain {
    const leap = this.#broken ? undefined : leapIn(this.#times);
    return {
      entries: this.#entries,
      head: this.#head,
      broken: leap ? { seq: leap.seq, id: leap.id, why: "ahead" } : this.#broken,
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
    if (!isReadableJson(entry)) return { why: "unsaid" };
    const isFiled = entry?.id === row.id && entry.device === row.device && entry.n === row.n;
    return isFiled ? { entry } : { why: "columns" };
  } catch {
    return { why: "columns" };
  }
}

const lamportOf = (entry: unknown): number => {
  const { lamport } = entry as { lamport?: unknown };
  return typeof lamport === "number" ? lamport : 0;
};
