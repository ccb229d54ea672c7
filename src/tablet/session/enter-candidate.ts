import type { CandidateId } from "../../belt-test/identity.ts";
import { agesOut } from "../../belt-test/planning/excused-by-age.ts";
import type { RosterCandidate } from "../../belt-test/planning/roster.ts";
import { inTwo } from "../../belt-test/scorebook/candidate-details.ts";
import type { Entrant } from "../../belt-test/scorebook/plan.ts";
import { makeSideRecord } from "../../line/make-side-record.ts";
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
  // Before the start the year may still be corrected; an excuse cannot.
  if (notebook.book.plan.isStarted) await excuseYoung(notebook, chance, { candidate, rubric });
}

/** Excuses a candidate from the items that ask for more years. */
export async function excuseYoung(
  notebook: Notebook,
  chance: Pick<Services, "random">,
  { candidate, rubric: id }: Pick<Entrant, "candidate" | "rubric">,
): Promise<void> {
  const { book } = notebook;
  const rubric = book.plan.rubric(id);
  if (!rubric || !book.plan.opened) return;
  const { birthYear } = candidateDetails(notebook, candidate) ?? {};
  const body = { text: "age" };
  await Promise.all(
    agesOut(rubric, birthYear, book.plan.opened.date)
      .filter(({ item }) => !book.plan.excuse(candidate, item))
      .map(({ section, item }) => {
        const about = {
          grading: notebook.pass.grading,
          about: candidate,
          kind: "text",
          body,
        } as const;
        const { ref, record } = makeSideRecord(about, chance);
        const excused = { candidate, section, item, reason: ref };
        return notebook.write("excused", excused, { sides: [record] });
      }),
  );
}
