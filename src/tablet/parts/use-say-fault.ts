import { useMemo } from "react";
import type { Fault } from "../../core/faults.ts";
import { faultsWords } from "../../words/faults-words.ts";
import { useSay } from "./use-say.ts";

/** A fault in a sentence a volunteer can follow. One that lacks a value its sentence needs still shows its code, and no screen breaks. */
export function useSayFault(): (fault: Fault) => string {
  const say = useSay(faultsWords);
  return useMemo(
    () => (fault) => {
      try {
        return say(`fault.${fault.code}`, fault.with);
      } catch {
        return fault.code;
      }
    },
    [say],
  );
}
