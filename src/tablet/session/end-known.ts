import type { CandidateId } from "../../belt-test/identity.ts";
import { MOST_KNOWN } from "../../belt-test/kinds/body-parts.ts";
import type { EntryId } from "../../book/identity.ts";
import type { Notebook } from "./notebook.ts";

/** Says that the floor is clear of these stops, and of none that this device has not heard of. */
export const clearFloor = (notebook: Notebook, stops: readonly { entry: EntryId }[]) =>
  notebook.writeTogether(
    inLines(stops.map(({ entry }) => entry)).map(
      (known) => (pen) => pen.write("floor-cleared", { stops: known }),
    ),
  );

/** Takes back these withdrawals of a child, and none that was not shown to whoever takes them back. */
export const takeBack = (
  notebook: Notebook,
  candidate: CandidateId,
  shown: readonly { id: EntryId }[],
) =>
  notebook.writeTogether(
    inLines(shown.map(({ id }) => id)).map(
      (withdrawals) => (pen) => pen.write("withdrawn", { candidate, why: null, withdrawals }),
    ),
  );

/** As many lines as it takes to name them all. */
const inLines = (ids: readonly EntryId[]): EntryId[][] =>
  Array.from({ length: Math.ceil(ids.length / MOST_KNOWN) }, (_, at) =>
    ids.slice(at * MOST_KNOWN, (at + 1) * MOST_KNOWN),
  );
