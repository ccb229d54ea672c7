import type { Place } from "../scorebook/cell.ts";
import type { EntryBody } from "../scorebook/entry.ts";
import type { Step } from "../script/script.ts";
import { isCalled } from "./wave-script.ts";

/** The row of cells that a call is about; undefined when what was called is no longer in the script. */
export function rowOfCall(
  call: EntryBody<"called">,
  steps: readonly Step[],
): Pick<Place, "section" | "item" | "side"> | undefined {
  const step = steps.find((one) => isCalled(one, call));
  return step && { section: step.section, item: step.item, side: step.markedSide };
}
