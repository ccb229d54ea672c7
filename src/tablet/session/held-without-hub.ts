import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import type { EntryBody } from "../../belt-test/scorebook/entry.ts";
import { heldAtGiving, heldAtOpening } from "../../belt-test/scorebook/held-on-the-road.ts";
import type { Notebook } from "./notebook.ts";

/** What a place is given away by. With a hub this device says nothing of what is held: the hub does, which alone holds closed marks. */
export const givingBody = (
  { book, pass }: Notebook,
  given: Pick<EntryBody<"judge-replaced">, "judge" | "by">,
): EntryBody<"judge-replaced"> => {
  // Those that this judge has now: what they gave away before is another's.
  const places = [
    ...new Set(
      book.panel.assignments.flatMap(({ judge }) =>
        book.panel.successor(judge) === given.judge ? [judge] : [],
      ),
    ),
  ];
  return {
    ...given,
    ...(places.length > 0 && { places }),
    ...(pass.token ? {} : heldAtGiving(book, given)),
  };
};

/** The same of everybody without whom one child's section is opened. */
export const missingWithoutHub = (
  { book, pass }: Notebook,
  candidate: CandidateId,
  section: SectionId,
): Partial<ReturnType<typeof heldAtOpening>> =>
  pass.token ? {} : heldAtOpening(book, candidate, section);
