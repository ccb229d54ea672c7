import type { Basis } from "../../book/counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { PersonId } from "../../book/identity.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import { isKnown } from "./entry.ts";

const kinds = kindsThatAre("out-of-turn");
const hubs = kindsThatAre("hub's");

/** Of a kind that may have come whatever was missing before it: its place in the count tells nothing of how far a device has come. */
export const isOutOfTurn = ({ kind }: AnyEntry): boolean => kinds.has(kind);

/**
 * A stop, an incident, a withdrawal: taken of everybody, whatever is missing before it and however far ahead it is. Not that a child is back, which would
 * end every withdrawal that is older by logical time: it waits its turn as any other line does.
 */
export const isForAnyone = (entry: AnyEntry): boolean => isOutOfTurn(entry) && !saysBack(entry);

const saysBack = (entry: AnyEntry): boolean =>
  isKnown(entry) && entry.kind === "withdrawn" && entry.body.why === null;

/**
 * Whether an entry tells how far a count has come. What comes out of turn does not: it may leave places open that are filled when others' marks are known.
 * Nor does what a hub says itself, of what it held or whom it let in: each line of that is a count of its own.
 */
export const tellsOfCount = (entry: AnyEntry): boolean =>
  !isOutOfTurn(entry) && !hubs.has(entry.kind);

/** How far one person has come in each count. */
export function basisOfPerson(entries: Iterable<AnyEntry>, person: PersonId): Basis {
  const basis: Record<string, number> = {};
  for (const entry of entries)
    if (entry.by === person && tellsOfCount(entry))
      basis[entry.device] = Math.max(basis[entry.device] ?? 0, entry.n);
  return basis as Basis;
}
