import type { PlanGap } from "../../../belt-test/planning/plan-gaps.ts";
import type { Notebook } from "../../session/notebook.ts";

export const steps = ["test", "rubrics", "candidates", "panel", "waves", "ready"] as const;
export type StepId = (typeof steps)[number];

export const isStep = (text: string | null): text is StepId =>
  (steps as readonly (string | null)[]).includes(text);

/** Where a gap is mended. */
export function stepOf({ code }: PlanGap): StepId {
  switch (code) {
    case "NO_RUBRIC":
      return "rubrics";
    case "NO_CANDIDATE":
    case "RUBRIC_MISSING":
      return "candidates";
    case "NO_JUDGE":
    case "NO_CALLER":
    case "NO_DESK":
    case "FEWER_JUDGES_THAN_QUORUM":
      return "panel";
    default:
      return "waves";
  }
}

export type StepState = "open" | "asked" | "done";

/** How far a step is: `open` lacks something the test needs, `asked` has a question, `done` has neither. */
export function stepState(step: StepId, gaps: readonly PlanGap[], { book }: Notebook): StepState {
  if (step === "test") return book.plan.opened ? "done" : "open";
  if (step === "ready") return book.plan.isStarted ? "done" : "open";
  const here = gaps.filter((gap) => stepOf(gap) === step);
  if (here.some(({ weight }) => weight === "needed")) return "open";
  // Nothing can be lined up yet: not done, for want of anything to do.
  if (step === "waves" && book.plan.filledWaves.length === 0) return "open";
  return here.length > 0 ? "asked" : "done";
}
