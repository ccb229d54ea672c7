import { nameIn } from "../../../belt-test/scorebook/name-in.ts";
import type { CandidateId } from "../../../book/identity.ts";
import type { Notebook } from "../../session/notebook.ts";

interface Kept {
  about: string;
  /** Of a candidate. */
  number: number | undefined;
  /** Empty where only texts are left. */
  name: string;
  records: number;
}

/** Of whom this device keeps names or texts: candidates by number, then everybody else by name. */
export function namesKept({ sides, book }: Notebook): Kept[] {
  const kept = new Map<string, Kept>();
  const bodies = new Map<string, object>();
  for (const { about, body } of sides.values()) {
    const number = book.entrant(about as CandidateId)?.number;
    const its = kept.get(about) ?? { about, number, name: "", records: 0 };
    its.records++;
    // Given name and the rest lie apart.
    bodies.set(about, { ...bodies.get(about), ...body });
    its.name = nameIn(bodies.get(about));
    kept.set(about, its);
  }
  return [...kept.values()].sort(
    (a, b) =>
      (a.number ?? Number.POSITIVE_INFINITY) - (b.number ?? Number.POSITIVE_INFINITY) ||
      a.name.localeCompare(b.name),
  );
}
