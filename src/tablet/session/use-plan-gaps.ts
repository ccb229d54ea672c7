import { useMemo } from "react";
import { type PlanGap, planGaps } from "../../belt-test/planning/plan-gaps.ts";
import { useNotebook } from "./services.tsx";

/** What the plan lacks as it stands now. */
export function usePlanGaps(): readonly PlanGap[] {
  const { book, version } = useNotebook();
  // biome-ignore lint/correctness/useExhaustiveDependencies: the book is one object that grows; its version tells when.
  return useMemo(() => planGaps(book), [book, version]);
}
