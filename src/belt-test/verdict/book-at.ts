import type { Basis } from "../../book/counts.ts";
import { deviceOf } from "../../book/counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { CandidateId } from "../identity.ts";
import { rowOf } from "../kinds/all-kinds.ts";
import { type Entry, isKnown } from "../scorebook/entry.ts";
import { sectionsEver } from "../scorebook/one-count.ts";
import { tellsOfCount } from "../scorebook/out-of-turn.ts";
import { countOf } from "../scorebook/place-counts.ts";
import { fold, type Scorebook } from "../scorebook/scorebook.ts";
import { isIn as isOfBasis } from "../scorebook/seal.ts";

/**
 * The book as whoever wrote `basis` had it, as far as it says something of one candidate's result: the plan, and what was written of that candidate.
 * The same book where nothing of that came since; else a book of its own.
 *
 * A withdrawal, and what the hub held at an opening, are in it whatever the basis says, which does not speak of them. What was under seal then counts in neither book.
 *
 * @param isIn  what counts as known to that writer
 */
export function bookAt(
  book: Scorebook,
  candidate: CandidateId,
  basis: Basis,
  isIn: (basis: Basis, entry: Entry) => boolean = isOfBasis,
): Scorebook {
  const known: AnyEntry[] = [];
  let isAll = true;
  for (const entry of book.entries()) {
    if (!isKnown(entry) || !bearsOn(entry, candidate)) continue;
    if (isIn(basis, entry) || !tellsOfCount(entry)) known.push(entry);
    else isAll = false;
  }
  return isAll ? book : fold(known);
}

/** Whether a basis speaks of an entry, or it is one by which marks open. A hub put back from an older copy may have lost one and been given another in its place. */
export const isOfBasisOrOpens = (basis: Basis, entry: Entry): boolean =>
  isOfBasis(basis, entry) || entry.kind === "locked" || entry.kind === "revealed";

/** Whether a candidate's result could be another without this entry. Most of a book is judges' lines about one child each. */
function bearsOn(entry: Entry, candidate: CandidateId): boolean {
  const { bearsOn: whose } = rowOf(entry.kind);
  if (whose === "everybody" || whose === "nobody") return whose === "everybody";
  return whose(entry.body as never).includes(candidate);
}

/** Whether a book holds what a basis names of other devices. One that does not is a hub put back from an older copy. */
export function holdsOthers(book: Scorebook, basis: Basis, { device }: AnyEntry): boolean {
  const held = book.basis as Record<string, number>;
  const own = deviceOf(device);
  return Object.entries(basis).every(
    ([of, last]) => deviceOf(of) === own || last <= (held[of] ?? 0),
  );
}

/**
 * Whether a basis names counts of sections whose marks are closed here. What is held of them answers no question: the answer would tell what a judge has tapped, and how
 * often. Asked of every section that any rubric has: whoever writes a basis chooses with it by which rubric the child is read.
 */
export function namesClosed(book: Scorebook, candidate: CandidateId, basis: Basis): boolean {
  const closed = sectionsEver(book.plan)
    .filter((section) => !book.openings.isRevealed(candidate, section))
    .map((section) => ({ candidate, section }));
  return Object.keys(basis).some((count) =>
    closed.some((place) => count === countOf(deviceOf(count), place)),
  );
}

/** Whether all that was written before an entry, on its own device, was taken. */
export function holdsOwn(book: Scorebook, basis: Basis, { device }: AnyEntry): boolean {
  const own = deviceOf(device);
  const said = Object.entries(basis).filter(([of]) => deviceOf(of) === own);
  const held = [...book.entries()].filter(
    (entry) => deviceOf(entry.device) === own && isOfBasis(basis, entry),
  );
  return held.length === said.reduce((all, [, last]) => all + last, 0);
}
