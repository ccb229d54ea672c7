import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import type { Notebook } from "./notebook.ts";

/** Whether the hub did not take a lock of this judge's there, because whoever had the place before has locked it: nothing is left to do. */
export const isPlaceLocked = (
  { outbox }: Notebook,
  candidate: CandidateId,
  section: SectionId,
): boolean =>
  [...outbox.refusals.values()].some(
    ({ code, with: where }) =>
      code === "PLACE_LOCKED" && where?.candidate === candidate && where.section === section,
  );
