import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import { sectionOf } from "../../belt-test/rubric/lookup.ts";
import type { Fault } from "../../book/faults.ts";
import { useSayFault } from "../parts/use-say-fault.ts";
import { givenName } from "./names.ts";
import type { Notebook } from "./notebook.ts";
import { useNotebook } from "./services.tsx";

/** A fault of a line of this test in a sentence: a child by number and name, a section by its title, as far as the test knows them. */
export function useSayNamedFault(): (fault: Fault) => string {
  const notebook = useNotebook();
  const sayFault = useSayFault();
  return (fault) => sayFault(named(notebook, fault));
}

function named(notebook: Notebook, { code, with: given = {} }: Fault): Fault {
  const { plan } = notebook.book;
  const known = { ...given };
  const entrant = plan.entrant(given.candidate as CandidateId);
  const rubric = entrant ? plan.rubricOf(entrant.candidate) : plan.rubrics[0];
  const section = rubric && sectionOf(rubric, given.section as SectionId);
  if (entrant)
    known.candidate = `${entrant.number} ${givenName(notebook, entrant.candidate)}`.trim();
  if (section) known.section = section.title;
  return { code, with: known };
}
