import type { Fault } from "../book/faults.ts";
import faultsWords from "../words/en/faults.json" with { type: "json" };
import faultsOfTerminal from "../words/en/faults-of-terminal.json" with { type: "json" };
import terminalWords from "../words/en/terminal.json" with { type: "json" };
import { faultSentence } from "../words/fault-sentence.ts";
import { type KeyOf, sayIn } from "../words/say.ts";

/** What the command line says: English, whatever the machine's language. */
export type TerminalKey = KeyOf<typeof terminalWords>;
export const sayTerminal = sayIn(terminalWords);

const sayFault = sayIn({ ...faultsWords, ...faultsOfTerminal });
/** A fault in a plain sentence. */
export const faultInWords = (fault: Fault): string => faultSentence(fault, sayFault);
