import { useMemo } from "react";
import type { Fault } from "../../book/faults.ts";
import { faultSentence, faultsWords } from "../../words/faults-words.ts";
import { useSay } from "./use-say.ts";

/** A fault in a sentence a volunteer can follow, in the language around this part. */
export function useSayFault(): (fault: Fault) => string {
  const say = useSay(faultsWords);
  return useMemo(() => (fault) => faultSentence(fault, say), [say]);
}
