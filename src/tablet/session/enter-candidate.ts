import type { CandidateId } from "../../belt-test/identity.ts";
import type { RosterCandidate } from "../../belt-test/planning/roster.ts";
import { inTwo } from "../../belt-test/scorebook/candidate-details.ts";
import { makeSideRecord } from "../../line/make-side-record.ts";
import { keepAges } from "./keep-ages.ts";
import { candidateDetails } from "./names.ts";
import type { Notebook } from "./notebook.ts";
import type { Services } from "./services.tsx";

/**
 * Enters a candidate, or writes the same one anew with corrections. Names go beside the entry, so that they can be erased.
 * @param why  the chief's reason, where the test is under way and the rubric another
 */
export async function enterCandidate(
  notebook: Notebook,
  chance: Pick<Services, "random">,
  candidate: CandidateId,
  { number, rubric, ...details }: RosterCandidate,
  why?: ReturnType<typeof makeSideRecord>,
): Promise<void> {
  const { contact } = candidateDetails(notebook, candidate) ?? {};
  const { given, rest } = inTwo({ ...(contact === undefined ? {} : { contact }), ...details });
  const about = { grading: notebook.pass.grading, about: candidate, kind: "candidate" } as const;
  const [its, more] = [given, rest].map((body) => makeSideRecord({ ...about, body }, chance));
  if (!its || !more) return;
  await notebook.write(
    "entered",
    {
      ...{ candidate, number, rubric, details: more.ref, given: its.ref },
      ...(why && { reason: why.ref }),
    },
    { sides: [its.record, more.record, ...(why ? [why.record] : [])] },
  );
  await keepAges(notebook, chance, [candidate]);
}
