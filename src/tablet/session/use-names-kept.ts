import { useCallback, useEffect, useState } from "react";
import type { Fault } from "../../book/faults.ts";
import type { NamesKept } from "../../line/doors.ts";
import { useServices } from "./services.tsx";

interface NamesKeptHere {
  /** Undefined until the hub has answered, and where this device is not its chief's. */
  kept: NamesKept | undefined;
  fault: Fault | undefined;
  /** Asks the hub anew, with another rule where one is given. @returns whether the hub has it. */
  ask: (rule?: NamesKept["rule"]) => Promise<boolean>;
}

/** How long the hub keeps names and what is due. What it says is due was shown then: the hub is told so, for nothing goes unseen. */
export function useNamesKept(token: string): NamesKeptHere {
  const { hub } = useServices();
  const [kept, setKept] = useState<NamesKept>();
  const [fault, setFault] = useState<Fault>();
  const ask = useCallback(
    async (rule?: NamesKept["rule"]) => {
      const answer = await hub.namesKept(token, rule);
      if (answer.ok) setKept(answer);
      setFault(answer.ok ? undefined : answer.fault);
      return answer.ok;
    },
    [hub, token],
  );
  useEffect(() => void ask(), [ask]);

  // After the drawing: an effect runs when it is on the screen.
  const due = kept?.tests.map(({ grading, due }) => `${grading} ${due}`).join();
  // biome-ignore lint/correctness/useExhaustiveDependencies: told once of what is due, not of every answer.
  useEffect(() => {
    if (!kept || kept.tests.length === 0 || document.visibilityState !== "visible") return;
    void hub
      .namesShown(
        token,
        kept.tests.map(({ grading }) => grading),
      )
      .then((answer) => answer.ok && setKept(answer));
  }, [hub, token, due, kept?.rule.byItself]);
  return { kept, fault, ask };
}
