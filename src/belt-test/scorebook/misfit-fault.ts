import type { Fault } from "../../book/faults.ts";
import type { Misfit } from "../rubric/misfit.ts";
import type { Rubric } from "../rubric/rubric.ts";
import type { Place } from "./cell.ts";

/** What is said of a mark that does not fit. */
export function misfitFault(
  rubric: Rubric,
  { section, item, criterion }: Place,
  misfit: Misfit,
): Fault {
  switch (misfit.not) {
    case "section":
    case "item":
    case "side":
      return { code: "ITEM_UNKNOWN", with: { section, item: item ?? "", rubric: rubric.id } };
    case "criterion":
      return { code: "CRITERION_NOT_ASKED", with: { item: item ?? section, criterion } };
    case "level":
      return {
        code: "LEVEL_OUT_OF_SCALE",
        with: { level: misfit.level, highest: misfit.highest },
      };
  }
}
