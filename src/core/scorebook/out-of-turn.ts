import type { PersonId } from "../identity.ts";
import type { AnyEntry, Basis, EntryKind } from "./entry.ts";

const kinds: ReadonlySet<string> = new Set<EntryKind>(["stopped", "incident", "withdrawn"]);

/** A stop, an incident, a withdrawal: taken of everybody, whatever is missing before it. Its place in the count tells nothing of how far a device has come. */
export const isOutOfTurn = ({ kind }: AnyEntry): boolean => kinds.has(kind);

/** How far one person has come in each count. What comes out of turn is left out: it may leave places open that are filled when others' marks are known. */
export function basisOfPerson(entries: Iterable<AnyEntry>, person: PersonId): Basis {
  const basis: Record<string, number> = {};
  for (const entry of entries)
    if (entry.by === person && !isOutOfTurn(entry))
      basis[entry.device] = Math.max(basis[entry.device] ?? 0, entry.n);
  return basis as Basis;
}
