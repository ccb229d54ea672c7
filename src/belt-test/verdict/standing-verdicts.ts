import type { Basis } from "../../book/counts.ts";
import { byAge } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isIn } from "../scorebook/seal.ts";

/**
 * Verdicts that no other takes the place of: more than one where two tablets did not know of each other. Oldest first.
 * One that does not say what it knew takes the place of older ones that do not either.
 */
export function standingVerdicts(book: Scorebook, candidate: CandidateId): EntryOf<"verdict">[] {
  const all = book.decisions.verdicts(candidate);
  const known: Record<string, number> = {};
  let lastSilent: EntryOf<"verdict"> | undefined;
  for (const one of all) {
    const { after } = one.body;
    if (!after && (!lastSilent || byAge(one, lastSilent) > 0)) lastSilent = one;
    for (const [device, n] of Object.entries(after ?? {}))
      known[device] = Math.max(known[device] ?? 0, n);
  }
  return all
    .filter((one) => !isIn(known as Basis, one) && (one.body.after || one === lastSilent))
    .sort(byAge);
}

/** What this book knows of a child's verdicts, as the next one says it. */
export function verdictsSoFar(book: Scorebook, candidate: CandidateId): Basis {
  const known: Record<string, number> = {};
  for (const { device, n } of book.decisions.verdicts(candidate))
    known[device] = Math.max(known[device] ?? 0, n);
  return known as Basis;
}
