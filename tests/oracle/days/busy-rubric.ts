import type { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import type { Dice } from "../../world/dice.ts";

const COMBINE = ["mean", "median", "drop-high-low", "robust"] as const;
const ROUNDING = ["half-up", "half-even", "down"] as const;

/** The small rubric with what schools do otherwise: other panel rules, rounding and retests, a must-show, and a form shown one by one. */
export function busyRubric(dice: Dice): Rubric {
  const form = {
    id: "form",
    title: "Form",
    weight: dice.whole(1, 4),
    floor: dice.whole(20, 60),
    marking: "single" as const,
    overall: dice.falls(0.5),
    items: [
      {
        id: "first-form",
        title: "First form",
        group: "form" as const,
        minimumAge: 9,
        criteria: ["stance", "spirit"],
        ...(dice.falls(0.5) ? { mustShow: { floor: dice.whole(20, 60) } } : {}),
      },
    ],
  };
  return aRubric({
    audience: dice.pick(["junior", "adult"]),
    sections: dice.falls(0.5) ? [...aRubric().sections, form] : aRubric().sections,
    panel: { quorum: dice.whole(1, 2), combine: dice.pick(COMBINE) },
    disagreement: { levelGap: dice.whole(1, 3), borderlineBand: dice.whole(0, 8) },
    pass: {
      mark: dice.whole(45, 75),
      rounding: { to: dice.pick([0.1, 0.5, 1]), mode: dice.pick(ROUNDING) },
    },
    retest: {
      waitDays: dice.whole(0, 60),
      scope: dice.pick(["sections", "whole"]),
      keptMonths: dice.whole(0, 12),
      attempts: 3,
    },
  });
}
