import { useMemo, useState } from "react";
import type { PlanGap } from "../../../belt-test/planning/plan-gaps.ts";
import type { Notebook } from "../../session/notebook.ts";
import { useNotebook, useServices } from "../../session/services.tsx";
import { usePlanGaps } from "../../session/use-plan-gaps.ts";
import { PlanHand, type TakeBack } from "./plan-hand.ts";

/** What every step of the plan is given. */
export interface Plan {
  notebook: Notebook;
  hand: PlanHand;
  gaps: readonly PlanGap[];
  isClosed: boolean;
  /** Waits for a stroke of the hand, then says what was done and offers to take it back. */
  did: (stroke: Promise<TakeBack | undefined>, words: string) => Promise<void>;
}
export interface Done {
  words: string;
  back: TakeBack | undefined;
  /** Whether the test was open then: what was planned before is not taken back under way. */
  wasStarted: boolean;
}

export function usePlan(): { plan: Plan; done: Done | undefined; undo: () => Promise<void> } {
  const notebook = useNotebook();
  const { makeId, random } = useServices();
  const [done, setDone] = useState<Done>();
  const hand = useMemo(
    () => new PlanHand(notebook, { makeId, random }),
    [notebook, makeId, random],
  );
  const { book } = notebook;
  const gaps = usePlanGaps();
  return {
    plan: {
      notebook,
      hand,
      gaps,
      isClosed: book.plan.isClosed,
      did: async (stroke, words) => {
        const back = await stroke;
        setDone({ words, back, wasStarted: book.plan.isStarted });
      },
    },
    done: done && (done.wasStarted === book.plan.isStarted ? done : { ...done, back: undefined }),
    async undo() {
      const back = done?.back;
      setDone(undefined);
      await back?.();
    },
  };
}
