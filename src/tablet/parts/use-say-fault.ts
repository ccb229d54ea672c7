import { useMemo } from "react";
import { type Fault, isOfTheLine, type LineFault } from "../../book/faults.ts";
import faultsWords from "../../words/en/faults.json" with { type: "json" };
import { faultSentence } from "../../words/fault-sentence.ts";
import { useSay } from "./use-say.ts";

/** Of a hub that ended with it. */
const NONE: LineFault = { code: "HUB_UNREACHABLE" };

/** A fault in a sentence a volunteer can follow, in the language around this part. */
export function useSayFault(): (fault: Fault) => string {
  const say = useSay(faultsWords);
  return useMemo(() => (fault) => faultSentence(isOfTheLine(fault) ? fault : NONE, say), [say]);
}
