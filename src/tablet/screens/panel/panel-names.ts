import type { CandidateId } from "../../../belt-test/identity.ts";
import type { PersonId } from "../../../book/identity.ts";
import panelWords from "../../../words/en/panel.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import { givenName, personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";

/** How the panel's page calls people. */
export function usePanelNames(): {
  judge: (person: PersonId) => string;
  candidate: (candidate: CandidateId) => string;
} {
  const notebook = useNotebook();
  const say = useSay(panelWords);
  return {
    judge: (person) => personName(notebook, person) ?? say("somebody"),
    candidate: (candidate) =>
      `${notebook.book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim(),
  };
}
