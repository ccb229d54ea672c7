import type { CandidateId, ItemId, RubricId, SectionId } from "../../belt-test/identity.ts";
import { itemOf, sectionOf } from "../../belt-test/rubric/lookup.ts";
import type { Fault } from "../../book/faults.ts";
import { useSayFault } from "../parts/use-say-fault.ts";
import { givenName } from "./names.ts";
import type { Notebook } from "./notebook.ts";
import { useNotebook } from "./services.tsx";

/** A fault of a line of this test in a sentence, with the names and titles that the test knows in the place of ids. */
export function useSayNamedFault(): (fault: Fault) => string {
  const notebook = useNotebook();
  const sayFault = useSayFault();
  return (fault) => sayFault(named(notebook, fault));
}

function named(notebook: Notebook, fault: Fault): Fault {
  const { plan } = notebook.book;
  const {
    candidate,
    section,
    item,
    rubric: id,
  } = (fault.with ?? {}) as Partial<{
    candidate: CandidateId;
    section: SectionId;
    item: ItemId;
    rubric: RubricId;
  }>;
  const rubric = candidate ? plan.rubricOf(candidate) : id ? plan.rubric(id) : plan.rubrics[0];
  const sectionHere = rubric && section ? sectionOf(rubric, section) : undefined;
  const entrant = candidate && plan.entrant(candidate);
  const names = {
    candidate: entrant && `${entrant.number} ${givenName(notebook, entrant.candidate)}`.trim(),
    section: sectionHere?.title,
    item: sectionHere && item ? itemOf(sectionHere, item)?.title : undefined,
    rubric: id && plan.rubric(id)?.title,
  };
  const known = Object.entries(names).filter(([, name]) => name !== undefined);
  return { ...fault, with: { ...fault.with, ...Object.fromEntries(known) } } as Fault;
}
