import type { CandidateId } from "../../../belt-test/identity.ts";
import { nameOf } from "../../../belt-test/scorebook/name-in.ts";
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
  const all = [...sides.values()];
  const kept = [...new Set<string>(all.map(({ about }) => about))].map((about): Kept => {
    const its = all.filter((side) => side.about === about);
    const number = book.plan.entrant(about as CandidateId)?.number;
    return { about, number, name: nameOf(book, about, its), records: its.length };
  });
  return kept.sort(
    (a, b) =>
      (a.number ?? Number.POSITIVE_INFINITY) - (b.number ?? Number.POSITIVE_INFINITY) ||
      a.name.localeCompare(b.name),
  );
}
